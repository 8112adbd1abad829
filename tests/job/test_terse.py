"""Terse answers: shorter for the ear, the same for the eye, and nothing is left out that one must know."""

from __future__ import annotations

import re

import pytest

from job.table import EXPERIENCE, Table, open_job
from sparehand.job import commands as c
from sparehand.job.answer import Answer
from sparehand.job.answering.answer_context import AnswerContext
from sparehand.job.answers import answer


def both(table: Table, command: c.Command) -> tuple[Answer, Answer]:
    """The full and the terse answer to a command."""
    full = table.do(command)
    setting = AnswerContext(table.clock.now(), EXPERIENCE, table.last, (), terse=True)
    assert table.decision is not None
    return full, answer(table.state, table.decision, setting)


def spoken_numbers(given: Answer) -> list[str]:
    return re.findall(r"\b(?:zero|one|two|three|four|five|six|seven|eight|nine|decimal)\b", given.spoken.lower())


@pytest.mark.parametrize("command", [c.RepeatTorque(), c.WhatSize(), c.WhatIsLoose(), c.RepeatStep()])
def test_the_screen_shows_all_of_it_and_the_ear_gets_no_more(command: c.Command) -> None:
    table = open_job()
    table.work_until("cam-tight")
    full, terse = both(table, command)
    assert terse.shown == full.shown
    assert len(terse.spoken) <= len(full.spoken)


def test_a_torque_is_its_value_with_what_it_waits_for() -> None:
    table = open_job()
    table.work_until("cam-tight")
    full, terse = both(table, c.RepeatTorque())
    assert spoken_numbers(terse) == [word for word in spoken_numbers(full) if word in spoken_numbers(terse)]
    assert spoken_numbers(terse)
    assert "newton metres" in terse.spoken
    assert len(terse.spoken) < len(full.spoken)


def test_a_size_is_its_numbers_alone() -> None:
    table = open_job()
    table.work_until("cam-tight")
    full, terse = both(table, c.WhatSize())
    assert spoken_numbers(terse) == spoken_numbers(full)
    assert len(terse.spoken) < len(full.spoken)


def test_a_refusal_still_says_what_to_say_instead() -> None:
    full, terse = both(open_job(), c.Next())
    assert full.tone == "refused"
    assert terse.spoken.lower() == full.spoken.lower().replace("say ", "")


def test_a_step_that_a_terse_answer_leaves_out_is_read_by_next() -> None:
    table = open_job()
    table.work_until("cam-in")
    table.do(c.MarkIsFound(), c.Renewed())
    full, terse = both(table, c.MarkDone())
    assert full.step is not None
    assert terse.step is None
