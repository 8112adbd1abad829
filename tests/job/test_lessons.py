"""Lessons: left at a step, heard at it next time as a note from a person, and decided about at the desk."""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

import pytest

from job.table import Table, demo_procedure, open_job
from sparehand.job import commands as c
from sparehand.job.answering.answer_context import AnswerContext
from sparehand.job.answering.answer_lessons import at_the_press, lessons_here
from sparehand.job.answers import answer
from sparehand.job.decision import tell
from sparehand.job.events import LessonRetired, LessonReviewed, WordsWritten
from sparehand.job.experience import Experience
from sparehand.job.job_lessons import Lesson, in_use, lessons
from sparehand.job.state import JobState
from sparehand.procedures.plan import plan_run
from sparehand.procedures.value_words import holds_value


def kept_at(step: str, words: str, *, sound_ms: int = 0) -> Table:
    table = open_job()
    table.work_until(step)
    table.do(c.Understood())
    table.do(c.NoteTaken(UUID(int=99), "lesson", sound_ms, words))
    return table


def said_at(state: JobState, *known: Lesson) -> str:
    setting = AnswerContext(state.ledger.latest, Experience(lessons=known), answer(state, tell("step"), _plain(state)))
    return answer(state, tell("step"), setting).spoken


def _plain(state: JobState) -> AnswerContext:
    from sparehand.job.answer import Answer

    return AnswerContext(state.ledger.latest, Experience(), Answer())


def test_a_lesson_is_heard_at_its_step_with_who_left_it_and_when() -> None:
    table = kept_at("press-out", "the flat cup goes below the arm")
    (lesson,) = lessons(table.history)
    assert lesson.procedure == "arm-joint"
    said = said_at(table.state, lesson)
    assert "Note from Ada Brook, 2 March 2026: the flat cup goes below the arm." in said
    assert said.startswith("Press the joint out"), "the step itself comes first"
    assert "specification" not in said


def test_at_another_step_or_before_an_open_warning_it_is_not_heard() -> None:
    (lesson,) = lessons(kept_at("press-out", "the flat cup goes below").history)
    table = open_job()
    assert lessons_here(table.state, Experience(lessons=(lesson,))) == ()
    table.work_until("joint-bolts-out")
    table.work_until("press-out")
    assert lessons_here(table.state, Experience(lessons=(lesson,))) == ()
    table.do(c.Understood())
    assert lessons_here(table.state, Experience(lessons=(lesson,))) == (lesson,)


def test_a_lesson_follows_a_step_that_was_renamed() -> None:
    (lesson,) = lessons(kept_at("press-out", "the flat cup goes below").history)
    phase = demo_procedure().phase("remove-joint")
    step = phase.steps[-1].model_copy(update={"id": "drive-out", "was": ("press-out",)})
    renamed = phase.model_copy(update={"id": "take-joint-out", "was": ("remove-joint",)})
    assert lesson.is_for(renamed, step)
    assert not lesson.is_for(renamed, step.model_copy(update={"was": ()}))


@pytest.mark.parametrize(
    "words",
    [
        "the 36 mm cup fits",
        "one one zero newton metres is enough",
        "heat it for two minutes",
        "20nm",
        "90 degrees more",
    ],
)
def test_a_lesson_with_a_value_is_flagged_and_said_to_be_no_specification(words: str) -> None:
    table = kept_at("press-out", words)
    (lesson,) = lessons(table.history)
    assert lesson.needs_review
    assert said_at(table.state, lesson).endswith("A note, not a specification.")
    reviewed = replace(lesson, reviewed=True)
    assert not reviewed.needs_review
    assert said_at(table.state, reviewed).endswith("A note, not a specification.")


@pytest.mark.parametrize(
    "words", ["mind the clip behind the arm", "the three bolts come out first", "two of the M8 bolts"]
)
def test_a_lesson_without_a_value_is_not_flagged(words: str) -> None:
    assert not holds_value(words)
    (lesson,) = lessons(kept_at("press-out", words).history)
    assert not lesson.needs_review


def test_a_lesson_that_is_sound_is_flagged_until_somebody_has_listened_whatever_a_recogniser_made_of_it() -> None:
    table = kept_at("press-out", "", sound_ms=4_000)
    (lesson,) = lessons(table.history)
    assert lesson.needs_review
    table.record(WordsWritten(of=table.history[-1].id, words="mind the clip"))
    (written,) = lessons(table.history)
    assert (written.note.words, written.note.heard, written.needs_review) == ("mind the clip", True, True)
    table.record(LessonReviewed(lesson=written.note.id))
    assert not lessons(table.history)[0].needs_review


def test_what_is_decided_at_the_desk_takes_no_time_of_the_job_and_undo_looks_past_it() -> None:
    table = kept_at("press-out", "the 36 mm cup fits")
    id = table.history[-1].id
    before = table.state
    table.clock.advance(86_400_000)
    table.record(LessonReviewed(lesson=id))
    table.record(LessonRetired(lesson=id))
    assert table.state.ledger == before.ledger
    assert table.state.undo == before.undo
    (lesson,) = lessons(table.history)
    assert (lesson.reviewed, lesson.retired) == (True, True)
    assert in_use([lesson], "arm-joint") == ()


def test_a_lesson_that_was_taken_back_is_none() -> None:
    table = kept_at("press-out", "the flat cup goes below")
    table.do(c.Undo())
    assert lessons(table.history) == ()


def test_the_kit_tells_what_fitted_at_the_press_in_earlier_jobs() -> None:
    found = [
        *lessons(kept_at("press-out", "the flat cup fits").history),
        *lessons(kept_at("mark-cam", "use white").history),
    ]
    whole = plan_run(demo_procedure(), ("lower-joint",), ("right",))
    assert list(at_the_press(whole, found)) == ["the flat cup fits (Ada Brook, 2 March 2026)"]
    assert list(at_the_press(plan_run(demo_procedure(), ("roll-link",), ("right",)), found)) == []
