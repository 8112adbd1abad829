"""What a job card says of memos and lessons, and the pictures on it: those of the steps, and those that were taken."""

from __future__ import annotations

import base64
from collections.abc import Callable, Iterator, Sequence
from uuid import UUID

from sparehand.job.events import Recorded
from sparehand.job.found_faults import fault_words
from sparehand.job.job_notes import Note, notes
from sparehand.job.state import JobState
from sparehand.procedures.plan import StepKey
from sparehand.screens.card_fasteners import with_side
from sparehand.screens.card_rows import NoteRow, PictureRow

ReadPicture = Callable[[UUID], bytes | None]
"""Gives a picture, a JPEG; None where it is not there any more."""


def note_rows(state: JobState, history: Sequence[Recorded]) -> Iterator[NoteRow]:
    """The free words that were not taken back, in order."""
    for note in notes(history):
        if note.kind == "picture":
            continue
        yield NoteRow(
            kind=note.kind,
            place=_at(state, note.at),
            name=note.name,
            length=f"{note.sound_ms / 1000:.0f} s" if note.sound_ms else "",
            words=_words(note),
            kept_by=note.by,
            kept_at=f"{note.kept_at:%Y-%m-%d %H:%M}",
        )


def picture_rows(state: JobState, history: Sequence[Recorded], picture: ReadPicture) -> Iterator[PictureRow]:
    """The pictures that were taken, in order, then those that the steps of the run show."""
    for number, note in enumerate((note for note in notes(history) if note.kind == "picture"), 1):
        fault = next((fault for fault in state.progress.faults if fault.number == note.finding), None)
        found = f", {fault_words(state.plan.procedure, fault.found)}" if fault else ""
        caption = f"Picture {number}: {_at(state, note.at)}{found}. {note.by}, {note.kept_at:%Y-%m-%d %H:%M}"
        yield PictureRow(_source(picture(note.id)), caption)
    for step in dict.fromkeys(state.plan.step(key) for key in state.plan.steps):
        id = state.pictures.get(step.picture or "")
        if id:
            yield PictureRow(_source(picture(id)), f"Of the procedure: {step.say}")


def _at(state: JobState, at: StepKey) -> str:
    """The inspection that something was kept at, or else the phase."""
    phase = state.plan.procedure.phase(at.at.phase)
    step = next(step for step in phase.steps if step.id == at.step)
    return with_side(step.inspect.asks if step.inspect else phase.title, at.at.side)


def _source(jpeg: bytes | None) -> str:
    return f"data:image/jpeg;base64,{base64.b64encode(jpeg).decode()}" if jpeg else ""


def _words(note: Note) -> str:
    return f"{note.words} (as a recogniser heard it)" if note.heard else note.words
