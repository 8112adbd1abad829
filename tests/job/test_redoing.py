"""A step that is done once more takes apart what it had put in, and uses up a second use-once part."""

from __future__ import annotations

from typing import Literal

import pytest

from job.table import Table, open_job
from sparehand.job import commands as c
from sparehand.procedures.plan import FastenerKey


def at_done(step: str) -> Table:
    """A job at a step that was just done."""
    table = open_job()
    table.work_until(step)
    table.do(c.Understood(), c.Renewed(), c.MarkIsFound(), c.MarkDone(), c.MarkDone(), c.CheckPassed())
    assert table.state.progress.at in table.state.progress.done
    return table


def loose(table: Table) -> set[str]:
    return {entry.key.fastener for entry in table.state.loose}


def test_a_step_that_is_not_done_is_not_done_again() -> None:
    table = open_job()
    table.do(c.Redo())
    assert table.refused()


def test_the_question_names_what_must_be_new_once_more() -> None:
    table = at_done("joint-bolts-in")
    asked = table.do(c.Redo()).shown
    assert "Must be new once more: joint bolt." in asked


def test_nothing_changes_without_a_yes() -> None:
    table = at_done("joint-bolts-in")
    before = table.state.progress
    table.do(c.Redo(), c.Refuse())
    assert table.state.progress == before


def test_use_once_bolts_that_are_taken_out_again_must_be_new_again() -> None:
    table = at_done("joint-bolts-tight")
    assert "joint-bolts" not in loose(table)
    table.do(c.Redo("phase"), c.Confirm())
    assert "joint-bolts" in loose(table)
    assert not table.state.progress.fastenings[FastenerKey("joint-bolts", "right")].fitted
    assert ("joint-bolts", "right") not in table.state.progress.renewed
    assert ("joint", "right") not in table.state.progress.renewed
    assert table.state.progress.at.step == "press-in"
    table.do(c.MarkDone())
    assert "must be new" in table.last.shown


def test_tightening_again_starts_at_stage_one_with_new_bolts() -> None:
    table = at_done("joint-bolts-tight")
    table.do(c.Redo(), c.Confirm())
    assert table.do(c.MarkDone()).tone == "refused"
    assert "must be new" in table.last.shown
    told = table.do(c.Renewed()).shown + table.do(c.RepeatTorque()).shown
    assert "stage 1 of 2" in told


def test_what_was_put_in_later_is_to_be_put_in_again() -> None:
    table = at_done("upper-nut-tight")
    table.do(c.GoTo("remove-link"), c.Redo(), c.Confirm(), c.Next())
    keys = {key.step for key in table.state.progress.done if key.at.side == "right"}
    assert not {"link-in", "upper-nut-tight"} & keys
    assert "link-nut" in loose(table)
    assert ("link-nut", "right") not in table.state.progress.renewed


def test_a_check_before_driving_is_asked_again() -> None:
    table = at_done("wheels-checked")
    assert table.state.progress.gates
    table.do(c.GoTo("tighten-wheel"), c.Redo(), c.Confirm())
    assert not table.state.progress.gates


@pytest.mark.parametrize("what", ["step", "phase"])
def test_doing_it_again_is_taken_back_like_anything_else(what: Literal["step", "phase"]) -> None:
    table = at_done("joint-bolts-tight")
    before = table.state.progress
    table.do(c.Redo(what), c.Confirm(), c.Undo())
    assert table.state.progress == before


def test_the_technician_chooses_the_order_of_the_sides() -> None:
    table = open_job(sides=("left", "right"))
    table.do(c.Understood(), c.Next())
    assert table.state.progress.at.at.side == "left"
    table.do(c.OtherSide())
    assert str(table.state.progress.at.at) == "remove-wheel/right"


def test_a_job_on_one_side_has_no_other() -> None:
    table = open_job(sides=("right",))
    table.do(c.OtherSide())
    assert table.refused()
