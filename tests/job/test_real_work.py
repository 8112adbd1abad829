"""Work as it really goes: what the file tells beside the step, and another way in."""

from __future__ import annotations

from pathlib import Path

import pytest

from job.table import Table, open_job
from sparehand.conversation.active_phrases import situations
from sparehand.job import commands as c
from sparehand.job.state import fold
from sparehand.log.timesheet import timesheet
from sparehand.procedures.check import check_file
from sparehand.procedures.load import load_procedure
from sparehand.screens.card import job_card

FILE = Path(__file__).with_name("arm_job.yaml")
ARM = load_procedure(FILE).procedure


def at_the_arm(*operations: str) -> Table:
    return open_job(ARM, operations, sides=("left", "right"))


def test_the_file_of_these_tests_is_sound() -> None:
    assert check_file(FILE) == ()


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("why", "The guard hides the bush."),
        ("where", "The guard sits behind the wheel, low on the arm."),
        ("compare", "The gap of the guard is the same on both sides."),
    ],
)
def test_a_step_says_why_and_where_and_what_to_compare(what: str, said: str) -> None:
    table = at_the_arm()
    assert "explained" in situations(table.state)
    assert table.do(c.Explain(what)).spoken == said  # type: ignore[arg-type]


def test_a_step_that_says_none_of_it_tells_so_and_is_not_asked_by_voice() -> None:
    table = at_the_arm()
    table.do(c.Next())
    assert table.do(c.Explain("why")).spoken == "The file does not say why this is done."
    assert "explained" not in situations(table.state)


def at_the_choice() -> Table:
    table = at_the_arm("bush")
    table.do(c.Next(), c.Next())
    return table


def phases(table: Table) -> list[str]:
    return [str(planned.key) for planned in table.state.plan.phases if planned.key.side == "left"]


def test_a_choice_is_asked_when_it_is_reached_and_next_does_not_pass_it() -> None:
    table = at_the_choice()
    assert "Lower the cross beam: quicker, but the wheels are aligned after it" in table.last.spoken
    assert "choosing" in situations(table.state)
    assert "take the way lower the beam" in table.do(c.Next()).spoken.lower()
    assert table.refused()


def test_a_way_decides_which_phases_are_done_and_what_follows() -> None:
    table = at_the_choice()
    assert "aligned" in table.do(c.ChooseWay("lower")).spoken
    assert phases(table) == [
        "open/left",
        "access/left",
        "beam-down/left",
        "bush-out/left",
        "beam-up/left",
        "close-up/left",
    ]
    assert [one.id for one in table.state.follow_ups] == ["alignment"]
    table.do(c.ChooseWay("short-key"))
    assert phases(table) == ["open/left", "access/left", "key-work/left", "bush-out/left", "close-up/left"]
    assert table.state.follow_ups == ()
    assert "done this way: Past the beam with the short key" in job_card(
        table.state, timesheet(table.state), table.history
    )


def test_each_side_has_its_own_choice() -> None:
    table = at_the_choice()
    table.do(c.ChooseWay("short-key"))
    assert "key-work/right" not in {str(planned.key) for planned in table.state.plan.phases}


def test_who_changes_the_way_puts_back_what_is_apart() -> None:
    table = at_the_choice()
    table.do(c.ChooseWay("lower"), c.Next(), c.Next(), c.GoBack(), c.ChooseWay("short-key"))
    kept = [key.step for key in table.state.plan.steps if key.at.side == "left" and key.at.phase.startswith("beam")]
    assert kept == ["beam-bolts-out", "beam-bolts-in", "beam-tight"]
    assert fold(table.history) == table.state
    table.do(c.Undo())
    assert "beam-down/left" in phases(table)


def test_the_time_of_a_way_is_its_own() -> None:
    table = at_the_choice()
    table.do(c.ChooseWay("short-key"), c.Next())
    table.do(c.Next(), after_ms=60_000)
    (row,) = [row for row in timesheet(table.state).phases if row.phase == "key-work"]
    assert row.work_seconds == 60
