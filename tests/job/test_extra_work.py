"""Extra work comes into a job with somebody's word, and leaves it without leaving anything apart."""

from __future__ import annotations

import pytest

from job.table import Table, demo_procedure, open_job
from sparehand.job import commands as c
from sparehand.job.state import fold
from sparehand.log.timesheet import job_times, timesheet
from sparehand.procedures.model import Side
from sparehand.procedures.plan import RunPlan, plan_run
from sparehand.screens.card import job_card
from sparehand.times.sample import clean_jobs

APPROVED = c.Approve(by="customer", way="by phone")


def link_only() -> Table:
    return open_job(operations=("roll-link",))


def both(sides: tuple[Side, ...] = ("right",)) -> RunPlan:
    return plan_run(demo_procedure(), ("lower-joint", "roll-link"), sides)


def test_nothing_changes_before_somebody_approves() -> None:
    table = link_only()
    before = table.state.plan
    told = table.do(c.AddOperation("lower-joint")).shown
    assert "adds three phases" in told
    assert table.state.plan == before


def test_approved_work_joins_the_plan_with_shared_access_counted_once() -> None:
    table = link_only()
    table.do(c.AddOperation("lower-joint"), APPROVED)
    assert table.state.plan.steps == both().steps
    assert "Remove the lower joint" in table.last.shown


def test_declined_work_stays_out_and_stands_on_the_card() -> None:
    table = link_only()
    before = table.state.plan
    table.do(c.AddOperation("lower-joint"), c.Decline(by="customer"))
    assert table.state.plan == before
    card = job_card(table.state, timesheet(table.state), table.history)
    assert "declined by the customer" in card


def test_an_approval_tells_who_how_when_and_up_to_what() -> None:
    table = link_only()
    told = table.do(c.AddOperation("lower-joint"), APPROVED, c.LimitApproval("350")).spoken
    assert "three five zero" in told
    table.do(c.Confirm())
    card = job_card(table.state, timesheet(table.state), table.history)
    assert "approved by the customer by phone" in card
    assert "approved up to 350 in the shop" in card
    assert "Ada Brook" in card


@pytest.mark.parametrize("command", [APPROVED, c.Decline(by="insurer"), c.LimitApproval("10")])
def test_without_a_proposal_there_is_nothing_to_answer(command: c.Command) -> None:
    table = link_only()
    table.do(command)
    assert table.refused()


def test_work_that_lies_behind_is_found_again() -> None:
    table = link_only()
    table.work_until("link-in")
    table.do(c.AddOperation("lower-joint"), APPROVED)
    assert "cam washer" in table.do(c.WhatWasSkipped()).shown
    table.do(c.GoToSkipped())
    assert table.state.progress.at.step == "mark-cam"


def test_undoing_an_approval_takes_the_work_out_again() -> None:
    table = link_only()
    before = table.state.plan
    table.do(c.AddOperation("lower-joint"), APPROVED, c.Undo())
    assert table.state.plan == before
    assert fold(table.history) == table.state


def test_dropped_work_that_was_not_begun_leaves_the_plan() -> None:
    table = open_job()
    table.do(c.DropOperation("lower-joint"), c.Confirm())
    assert table.state.plan.steps == plan_run(demo_procedure(), ("roll-link",), ("right",)).steps


def test_the_only_operation_is_not_dropped() -> None:
    table = link_only()
    table.do(c.DropOperation("roll-link"))
    assert table.refused()


def test_what_is_apart_when_work_is_dropped_stays_loose_with_the_steps_that_put_it_back() -> None:
    table = open_job()
    table.work_until("clamp-out")
    told = table.do(c.DropOperation("lower-joint"), c.Confirm()).shown
    assert "loose" in told
    assert "cam-bolt" in {entry.key.fastener for entry in table.state.loose}
    steps = [key.step for key in table.state.plan.steps]
    assert {"cam-in", "cam-tight", "settle"} <= set(steps)
    assert not {"press-out", "press-in", "joint-bolts-in"} & set(steps)


def test_a_job_with_dropped_work_can_be_worked_to_its_end() -> None:
    table = open_job()
    table.work_until("clamp-out")
    table.do(c.DropOperation("lower-joint"), c.Confirm())
    table.work_until("wheels-checked")
    table.do(c.CheckPassed())
    assert table.state.loose == ()
    while table.do(c.GoToSkipped()).tone != "refused":
        table.do(c.Understood(), c.MarkDone())
    table.do(c.PartAnswer("link", renewed=True), c.Close(), c.Confirm())
    assert table.state.progress.closed is not None
    assert table.state.progress.closed.left_open == ()


def test_the_time_of_a_phase_that_was_cut_short_is_kept_and_teaches_no_whole_phase() -> None:
    table = open_job()
    table.work_until("clamp-out")
    table.do(c.DropOperation("lower-joint"), c.Confirm(), c.NextPhase())
    sheet = timesheet(table.state)
    assert sheet.work_seconds == pytest.approx(sum(row.work_seconds for row in sheet.phases))
    (sample,) = clean_jobs([job_times(table.state, sheet).model_copy(update={"left_out": ""})])
    (cut,) = [cell for cell in sample.cells if cell.phase == "remove-joint"]
    assert not cut.complete
