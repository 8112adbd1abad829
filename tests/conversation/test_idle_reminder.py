"""The idle reminder: it asks after so long without a word, and leaves a hold, a timer and a question in peace."""

from __future__ import annotations

import pytest

from job.table import Table, open_job
from sparehand.conversation.idle_reminder import IdleReminder
from sparehand.job import commands as c


def minutes_quiet(table: Table, reminder: IdleReminder, minutes: int) -> list[str]:
    """Let quiet minutes pass on the job; gives what the reminder said in them."""
    said = []
    for _ in range(minutes):
        table.clock.advance(60_000)
        given = reminder.due(table.state, table.clock.now())
        said += [given.spoken] if given.lines else []
    return said


def test_it_asks_once_for_every_so_many_minutes_without_a_word() -> None:
    said = minutes_quiet(open_job(), IdleReminder(20), 45)
    assert len(said) == 2
    assert said[0].startswith("Nothing was said for 20 minutes")


def test_a_word_puts_it_off() -> None:
    table, reminder = open_job(), IdleReminder(20)
    assert minutes_quiet(table, reminder, 15) == []
    reminder.stirred(table.clock.now())
    assert minutes_quiet(table, reminder, 19) == []


def test_zero_minutes_is_never() -> None:
    assert minutes_quiet(open_job(), IdleReminder(0), 300) == []


@pytest.mark.parametrize("command", [c.Hold("parts"), c.StartTimer(600), c.Close()])
def test_a_hold_a_timer_and_a_question_are_left_in_peace(command: c.Command) -> None:
    table = open_job()
    table.do(c.Understood(), command)
    assert minutes_quiet(table, IdleReminder(20), 60) == []


def test_before_a_job_nothing_is_asked() -> None:
    table, reminder = open_job(), IdleReminder(1)
    for _ in range(5):
        table.clock.advance(60_000)
        assert reminder.due(None, table.clock.now()).lines == ()
