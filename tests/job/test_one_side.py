"""What belongs to one side alone is asked and brought only where the run has that side."""

from __future__ import annotations

import pytest

from job.table import demo_procedure, open_job
from sparehand.procedures.model import Side

MOUNTS = demo_procedure("engine-mounts")
"""Its wheel comes off on the right alone."""


@pytest.mark.parametrize(("side", "there"), [("left", False), ("right", True)])
def test_the_wheel_of_the_other_side_has_no_gate_and_no_follow_up(side: Side, there: bool) -> None:
    state = open_job(MOUNTS, ("mounts",), (side,)).state
    assert ("check-wheel" in {planned.key.phase for planned in state.plan.phases}) is there
    assert ("wheel-bolt-check" in {entry.id for entry in state.follow_ups}) is there


def test_a_left_job_asks_no_wheel_before_it_closes() -> None:
    phases = open_job(MOUNTS, ("mounts",), ("left",)).state.plan.phases
    assert {step.passes_gate for one in phases for step in one.phase.steps} == {None, "support-out"}
