"""Lessons at the step they were left for: notes from a person, never a specification."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from uuid import UUID

from sparehand.job.answer import Line, from_file
from sparehand.job.experience import Experience
from sparehand.job.job_lessons import Lesson
from sparehand.job.obligations import obligations
from sparehand.job.state import JobState
from sparehand.procedures.plan import RunPlan


def at_this_step(state: JobState, experience: Experience) -> tuple[Line, ...]:
    """The notes left for the present step; nothing while a warning stands before it."""
    return tuple(line for lesson in lessons_here(state, experience) for line in _said(lesson))


def lessons_here(state: JobState, experience: Experience) -> tuple[Lesson, ...]:
    """The lessons that are heard at the present step."""
    open_now = obligations(state)
    if open_now and open_now[0].duty == "warning":
        return ()
    return tuple(one for one in experience.lessons if one.is_for(state.phase.phase, state.step))


def sounds_here(state: JobState, experience: Experience) -> tuple[UUID, ...]:
    """The recordings that are played at the present step."""
    return tuple(one.note.id for one in lessons_here(state, experience) if one.note.sound_ms)


def at_the_press(plan: RunPlan, lessons: Iterable[Lesson]) -> Iterator[str]:
    """What was left word of at the steps of a run that press: the adapters that fitted, mostly."""
    pressing = {(phase.phase.id, step.id): (phase.phase, step) for phase in plan.phases for step in phase.phase.steps}
    for lesson in lessons:
        if any("press" in step.hazards and lesson.is_for(phase, step) for phase, step in pressing.values()):
            yield f"{lesson.note.words or 'as recorded'} ({author_and_date(lesson)})"


def author_and_date(lesson: Lesson) -> str:
    """Who left it and when: "Ada Brook, 3 March 2026"."""
    return f"{lesson.note.by}, {lesson.note.kept_at.day} {lesson.note.kept_at:%B %Y}"


def _said(lesson: Lesson) -> Iterator[Line]:
    words, who = lesson.note.words.rstrip(". "), f"Note from {author_and_date(lesson)}"
    shown = f"{who}: {words}." if words else f"{who}, as recorded."
    # What was spoken is played in the person's own voice; what a recogniser made of it is for the eye alone.
    yield Line(f"{who}." if lesson.note.sound_ms else shown, shown)
    if lesson.may_hold_value:
        yield from_file("A note, not a specification.")
