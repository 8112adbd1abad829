"""Whoever has to leave the procedure finds a way on; the record tells it, and the file's torque is not said again."""

from __future__ import annotations

import pytest

from job.table import Table, open_job
from sparehand.job import commands as c
from sparehand.job.events import Basis, DepartureKind
from sparehand.log.timesheet import timesheet
from sparehand.screens.card import job_card

KINDS: tuple[DepartureKind, ...] = ("thread insert", "substitute bolt", "stripped thread", "cannot tighten")
MAKER: Basis = "the part maker's data"


def at_the_clamp_bolt() -> Table:
    table = open_job()
    table.work_until("clamp-tight")
    return table


def loose(table: Table) -> dict[str, str]:
    return {entry.key.fastener: entry.state for entry in table.state.loose}


def card(table: Table) -> str:
    return job_card(table.state, timesheet(table.state), table.history)


@pytest.mark.parametrize("kind", KINDS)
def test_the_torque_of_the_file_is_withheld_afterwards(kind: DepartureKind) -> None:
    table = at_the_clamp_bolt()
    assert "eight zero" in table.do(c.RepeatTorque()).spoken
    told = table.do(c.Depart(kind)).shown
    assert "withheld" in told
    assert "eight zero" not in table.do(c.RepeatTorque()).spoken
    assert "withheld" in card(table)


@pytest.mark.parametrize("kind", KINDS)
def test_it_stays_on_the_loose_list_and_the_work_goes_on(kind: DepartureKind) -> None:
    table = at_the_clamp_bolt()
    table.do(c.Depart(kind))
    assert loose(table)["clamp-bolt"] == f"{kind}, not tight yet"
    assert table.do(c.Next()).tone != "refused"


def test_tightened_by_the_part_makers_data_it_leaves_the_list() -> None:
    table = at_the_clamp_bolt()
    table.do(c.Depart("thread insert"), c.TightenedOtherwise(MAKER))
    assert "clamp-bolt" not in loose(table)
    assert "tight by other data" in card(table)


def test_a_reading_is_kept_for_it_without_limits() -> None:
    table = at_the_clamp_bolt()
    asked = table.do(c.Depart("substitute bolt"), c.Reading("64")).spoken
    assert "six four newton metres" in asked
    assert "clamp-bolt" in loose(table)
    table.do(c.Confirm())
    assert "clamp-bolt" not in loose(table)
    assert "64 N·m" in card(table)


def test_the_card_tells_what_why_and_by_whose_word() -> None:
    table = at_the_clamp_bolt()
    table.do(c.Depart("thread insert"), c.ExplainDeparture("stripped thread"), c.DepartureDecidedBy("workshop owner"))
    page = card(table)
    for word in (
        "thread insert",
        "clamp bolt, right",
        "stripped thread",
        "workshop owner, told by Ada Brook",
        "not tight",
    ):
        assert word in page


def test_a_stripped_thread_found_while_taking_it_apart_is_told_there() -> None:
    table = open_job()
    table.work_until("clamp-out")
    table.do(c.Depart("stripped thread"))
    assert "clamp-bolt" in loose(table)
    table.work_until("clamp-in")
    assert "withheld" in table.do(c.RepeatTorque()).shown
    table.do(c.Depart("thread insert"))
    table.do(c.Renewed(), c.MarkDone())
    assert loose(table)["clamp-bolt"] == "thread insert, not tight yet"


def test_an_insert_is_still_an_insert_after_starting_again() -> None:
    table = at_the_clamp_bolt()
    table.do(c.Depart("thread insert"), c.StartTightening(), c.Confirm())
    assert "eight zero" not in table.do(c.RepeatTorque()).spoken


def test_what_could_not_be_tightened_can_be_tried_again_by_the_procedure() -> None:
    table = at_the_clamp_bolt()
    table.do(c.Depart("cannot tighten"), c.StartTightening(), c.Confirm())
    assert "eight zero" in table.do(c.RepeatTorque()).spoken


@pytest.mark.parametrize(
    "command", [c.ExplainDeparture("corrosion"), c.DepartureDecidedBy("customer"), c.TightenedOtherwise(MAKER)]
)
def test_without_a_departure_there_is_nothing_to_tell_of_one(command: c.Command) -> None:
    table = at_the_clamp_bolt()
    table.do(command)
    assert table.refused()


def test_undo_takes_a_departure_back() -> None:
    table = at_the_clamp_bolt()
    before = table.state.progress
    table.do(c.Depart("thread insert"), c.Undo())
    assert table.state.progress == before


@pytest.mark.parametrize(("kind", "asked"), [("substitute bolt", False), ("thread insert", True)])
def test_a_use_once_bolt_must_be_new_unless_another_took_its_place(kind: DepartureKind, asked: bool) -> None:
    table = open_job()
    table.work_until("joint-bolts-in")
    table.do(c.Depart(kind))
    table.do(c.Next())
    assert ("must be new" in table.last.shown) is asked
