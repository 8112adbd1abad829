"""Answers about the visit around the job: lines of work, who pays, and what is to follow."""

from __future__ import annotations

from sparehand.job.answer import Line, plain, quantity
from sparehand.job.events import Question
from sparehand.job.experience import Experience
from sparehand.job.open_follow_ups import follow_ups_of, numbered_follow_ups
from sparehand.job.state import JobState
from sparehand.job.visit_lines import FollowUpNote

UNITS = {"km": "kilometres", "mi": "miles", "hours": "meter hours"}


def started(_state: JobState, work: str) -> tuple[Line, ...]:
    """The line runs."""
    time = "Its time is not yours." if work == "work elsewhere" else "Its time counts apart."
    return (plain(f"{work.capitalize()} is running. {time}"),)


def over(state: JobState, work: str) -> tuple[Line, ...]:
    """The line is over, with its result."""
    line = max((line for line in state.progress.visit.lines if line.work == work), key=lambda line: line.number)
    return (plain(f"{work.capitalize()} is over{f', {line.result}' if line.result else ''}. Written down."),)


def asks_distance(asked: Question) -> Line:
    """The distance or reading heard, read back."""
    return quantity(asked.value or 0.0, "").framed("I heard ", f" {UNITS[asked.unit or 'km']}.")


def payer(state: JobState, who: str) -> tuple[Line, ...]:
    """Who pays for what."""
    lines = state.progress.visit.lines
    what = f"the {lines[-1].work}" if lines and lines[-1].payer == who else "the work"
    return (plain(f"Written down: {who} pays for {what}."),)


def follow_ups(state: JobState, experience: Experience) -> tuple[Line, ...]:
    """Each follow-up with its number."""
    there = numbered_follow_ups(state, experience)
    if not there:
        return (plain("Nothing is to follow."),)
    return tuple(
        plain(f"Follow-up {number}{', from before' if job else ''}: {with_due(note)}")
        for number, (job, note) in enumerate(there, start=1)
    )


def dated(state: JobState) -> tuple[Line, ...]:
    """The follow-ups of this job with their dates."""
    notes = follow_ups_of(state)
    return tuple(plain(with_due(note)) for note in notes if due_words(note) and not note.done_on)


def with_due(note: FollowUpNote) -> str:
    """A follow-up with when it is due."""
    due = due_words(note)
    return f"{note.words.rstrip('.')}{due}." if due else note.words


def due_words(note: FollowUpNote) -> str:
    """When it is due, to follow its words; nothing where nobody said."""
    due = [f"on {note.due_on}"] if note.due_on else []
    due += [f"at {note.due_distance:g} {note.distance_unit}"] if note.due_distance is not None else []
    due += [f"at {note.due_hours:g} meter hours"] if note.due_hours is not None else []
    return f", due {' or '.join(due)}" if due else ""
