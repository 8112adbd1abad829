"""How long is left, asked of a running job."""

from __future__ import annotations

import math

import pytest

from job.table import Table, open_job
from sparehand.job import commands as c
from sparehand.job.answering.answer_context import AnswerContext
from sparehand.job.answering.answer_remaining import job_left
from sparehand.job.answers import answer
from sparehand.job.decide import decide
from sparehand.job.decision import Context
from sparehand.job.experience import Experience
from sparehand.times.time_left import Outlook, PhaseOutlook


def foreseen(table: Table, minutes: float = 20, shared: float = 0.05) -> Experience:
    """Every phase of the job foreseen to take so many minutes, give or take a fifth."""
    keys = [planned.key for planned in table.state.plan.phases]
    return Experience(outlook=Outlook(tuple(PhaseOutlook(key, math.log(minutes * 60), 0.04) for key in keys), shared))


def ask(table: Table, command: c.Command, experience: Experience) -> str:
    now = table.clock.now()
    decision = decide(table.state, command, Context(now, experience))
    return answer(table.state, decision, AnswerContext(now, experience, table.last, ())).shown


def test_without_a_timer_it_tells_what_the_job_still_needs_and_its_range() -> None:
    table = open_job()
    told = ask(table, c.TimerLeft(), foreseen(table))
    assert told.startswith("The job needs about ")
    assert "Four in five times, " in told
    assert "No timer" not in told


def test_with_a_timer_it_tells_the_timer_alone() -> None:
    table = open_job()
    table.do(c.Understood(), c.StartTimer(minutes=10))
    told = ask(table, c.TimerLeft(), foreseen(table))
    assert "left" in told
    assert "The job needs" not in told


def test_a_time_check_tells_it_too() -> None:
    table = open_job()
    told = ask(table, c.TimeCheck(), foreseen(table))
    assert told.startswith("This phase ")
    assert "The job needs about " in told


def test_where_nothing_was_foreseen_it_says_only_that_no_timer_runs() -> None:
    table = open_job()
    assert ask(table, c.TimerLeft(), Experience()) == "No timer is running."
    assert "The job needs" not in ask(table, c.TimeCheck(), Experience())


@pytest.mark.parametrize("held", [False, True])
def test_time_worked_brings_the_end_nearer_and_time_on_hold_does_not(held: bool) -> None:
    table = open_job()
    experience = foreseen(table, shared=0.0)
    table.do(c.Understood())
    if held:
        table.do(c.Hold("break"))
    before = job_left(table.state, table.clock.now(), experience)
    table.clock.advance(8 * 60_000)
    after = job_left(table.state, table.clock.now(), experience)
    assert (after == before) is held


def test_a_closed_job_has_nothing_left() -> None:
    table = open_job()
    experience = foreseen(table)
    table.do(c.Close("parts on order"), c.Confirm())
    assert table.state.progress.closed is not None
    assert job_left(table.state, table.clock.now(), experience) == ()
