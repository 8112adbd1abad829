"""What technicians left for whoever does a step next: a fold over the history of the job in which they said it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from sparehand.job import events as e
from sparehand.job.job_notes import Note, notes
from sparehand.procedures.model import Phase, Step
from sparehand.procedures.phase_key import parted_id
from sparehand.procedures.plan import StepKey
from sparehand.procedures.value_words import holds_value


@dataclass(frozen=True)
class Lesson:
    """A note with the procedure it belongs to, and what was decided about it at the desk."""

    note: Note
    procedure: str
    reviewed: bool = False
    retired: bool = False

    @property
    def needs_review(self) -> bool:
        """Whether somebody is to look at it at the desk: it may hold a value."""
        return not self.reviewed and not self.retired and self.may_hold_value

    @property
    def may_hold_value(self) -> bool:
        """Whether it holds a value, or may: nobody has listened to it, and a recogniser's words prove neither."""
        return self.holds_value or self.note.heard or not self.note.words

    @property
    def holds_value(self) -> bool:
        """Whether it names a number with a unit, which is never more than what one person said."""
        return holds_value(self.note.words)

    def is_for(self, phase: Phase, step: Step) -> bool:
        """Whether it was said at this step, perhaps under a name that phase or step had before; on either side."""
        at = self.note.at
        return at.at.phase in (phase.id, *phase.was) and at.step in (step.id, *step.was)


def lessons(history: Sequence[e.Recorded]) -> tuple[Lesson, ...]:
    """Every lesson of a job that was not taken back, with those that are retired marked so."""
    procedure = next((one.event.procedure.id for one in history if isinstance(one.event, e.JobOpened)), "")
    reviewed = {one.event.lesson for one in history if isinstance(one.event, e.LessonReviewed)}
    retired = {one.event.lesson for one in history if isinstance(one.event, e.LessonRetired)}
    return tuple(
        Lesson(*_own(note, procedure), note.id in reviewed, note.id in retired)
        for note in notes(history)
        if note.kind == "lesson"
    )


def _own(note: Note, opened: str) -> tuple[Note, str]:
    """A note under the ids of the procedure that it was said in, and which one that is."""
    joined, phase = parted_id(note.at.at.phase)
    own = StepKey(replace(note.at.at, phase=phase), note.at.step)
    return (replace(note, at=own), joined) if joined else (note, opened)


def in_use(found: Iterable[Lesson], procedure: str) -> tuple[Lesson, ...]:
    """Those of a procedure that are still to be heard, the oldest first."""
    wanted = (lesson for lesson in found if lesson.procedure == procedure and not lesson.retired)
    return tuple(sorted(wanted, key=lambda lesson: lesson.note.kept_at))
