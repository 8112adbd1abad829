"""Memos and lessons: free words that are kept as they were said."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.deciding.decide_drafting import name_taken
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import LessonKept, MemoKept
from sparehand.job.state import JobState
from sparehand.procedures.wording import counted


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


def _untold(state: JobState) -> int | None:
    """The number of the finding that was written down last, where only a memo tells it."""
    latest = state.progress.faults[-1:]
    return next((one.number for one in latest if one.found.fault is None and one.found.at == state.progress.at), None)
