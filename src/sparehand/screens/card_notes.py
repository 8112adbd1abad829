"""What a job card says of memos and lessons: the name and the length of each recording, and what words there are."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sparehand.job.events import Recorded
from sparehand.job.job_notes import Note, notes
from sparehand.job.state import JobState
from sparehand.procedures.model import Phase, Step
from sparehand.screens.card_fasteners import with_side
from sparehand.screens.card_rows import NoteRow


def note_rows(state: JobState, history: Sequence[Recorded]) -> Iterator[NoteRow]:
    """Every note that was not taken back, in order."""
    procedure = state.plan.procedure
    places = {(phase.id, step.id): _place(phase, step) for phase in procedure.phases for step in phase.steps}
    for note in notes(history):
        yield NoteRow(
            kind=note.kind,
            place=with_side(places[note.at.at.phase, note.at.step], note.at.at.side),
            name=note.name,
            length=f"{note.sound_ms / 1000:.0f} s" if note.sound_ms else "",
            words=_words(note),
            kept_by=note.by,
            kept_at=f"{note.kept_at:%Y-%m-%d %H:%M}",
        )


def _place(phase: Phase, step: Step) -> str:
    """The inspection that a remark was made at, or else the phase."""
    return step.inspect.asks if step.inspect else phase.title


def _words(note: Note) -> str:
    return f"{note.words} (as a recogniser heard it)" if note.heard else note.words
