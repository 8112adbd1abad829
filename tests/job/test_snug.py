"""A wheel is snug while it is raised and final when it stands on the ground: two steps, one tightening."""

from __future__ import annotations

from job.table import Table, demo_procedure, open_job
from sparehand.job import commands as c


def at_snug() -> Table:
    """A job at the step that snugs the wheel bolts."""
    table = open_job(demo_procedure("brake-discs-epb"), ("brake-pads",))
    table.work_until("wheel-snug")
    return table


def test_a_step_that_snugs_is_done_with_the_first_stage_and_the_bolts_stay_loose() -> None:
    table = at_snug()
    assert "three zero newton metres" in table.do(c.RepeatTorque()).spoken
    table.do(c.MarkDone(), c.Next())
    assert table.state.progress.at.step == "chocks-again"
    assert [entry.state for entry in table.state.loose] == ["stage 1 of 2 done"]


def test_the_final_stage_belongs_to_the_step_on_the_ground() -> None:
    table = at_snug()
    table.do(c.MarkDone())
    assert "done" in table.do(c.MarkDone()).shown
    assert [entry.state for entry in table.state.loose] == ["stage 1 of 2 done"]
    table.work_until("wheels-checked")
    assert table.state.loose == ()
