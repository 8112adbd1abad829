"""Memos and lessons: free words that are kept as they were said; and pictures."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.deciding.decide_drafting import name_taken
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import LessonKept, MemoKept, PictureTaken
from sparehand.job.state import JobState
from sparehand.procedures.wording import counted

MOST_PICTURES = 60
"""Of one job: more fill a disk, and a card that nobody looks through."""


def keep_memo(_state: JobState, _command: c.KeepMemo, _context: Context) -> Decision:
    """The bench records from here on; the event comes with the whole of it."""
    return tell("recording", about="memo")


def keep_lesson(_state: JobState, _command: c.KeepLesson, _context: Context) -> Decision:
    """As a memo, for this step."""
    return tell("recording", about="lesson")


def nothing_recorded(_state: JobState, _command: c.EndMemo | c.DropMemo, _context: Context) -> Decision:
    """While something is recorded, the bench itself ends it."""
    return refuse("Nothing is being recorded.", "keep a memo")


def note_taken(state: JobState, command: c.NoteTaken, _context: Context) -> Decision:
    """What was taken down belongs to the present step, whatever stands open."""
    if command.note not in ("memo", "lesson"):
        return name_taken(state, command)
    kind = MemoKept if command.note == "memo" else LessonKept
    event = kind(at=state.progress.at, sound_ms=command.sound_ms, words=command.words)
    if isinstance(event, MemoKept):
        event = event.model_copy(update={"finding": _untold(state)})
    length = f", {counted(round(command.sound_ms / 1000), 'second')}" if command.sound_ms else ""
    return tell("note kept", event, about=f"{command.note.capitalize()} kept{length}.")


def take_picture(state: JobState, _command: c.TakePicture, _context: Context) -> Decision:
    """The page takes it; the event comes with the whole of it."""
    return _too_many(state) or tell("picture asked")


def picture_came(state: JobState, command: c.PictureCame, _context: Context) -> Decision:
    """It belongs to the step that it was asked for at, and to the last finding there."""
    if command.job != state.job:
        return refuse("That picture was of another job.", "take a picture")
    at = command.at if command.at in state.plan.steps else state.progress.at
    finding = next((fault.number for fault in reversed(state.progress.faults) if fault.found.at == at), None)
    about = "Picture kept with finding." if finding else "Picture kept."
    taken = PictureTaken(at=at, picture=command.id, finding=finding)
    return _too_many(state) or tell("note kept", taken, about=about)


def _too_many(state: JobState) -> Decision | None:
    full = len(state.progress.pictures) >= MOST_PICTURES
    return refuse(f"This job holds {MOST_PICTURES} pictures, the most it can.", "keep a memo") if full else None


def _untold(state: JobState) -> int | None:
    """The number of the finding that was written down last, where only a memo tells it."""
    latest = state.progress.faults[-1:]
    return next((one.number for one in latest if one.found.fault is None and one.found.at == state.progress.at), None)
