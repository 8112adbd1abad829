"""What a job needs at hand, asked by voice: the same as the kit list, for the operations and sides of the job."""

from __future__ import annotations

from job.table import open_job
from sparehand.job import commands as c


def test_it_names_sizes_wrenches_tools_and_parts() -> None:
    told = open_job(operations=("roll-link",)).do(c.WhatDoINeed())
    assert "15, 16, 17 mm" in told.shown
    assert "one five, one six, one seven millimetres" in told.spoken
    assert "Torque wrench, for 42 to 120 N·m." in told.shown
    assert "1 upper link nut, use-once" in told.shown
    assert "joint bolt" not in told.shown


def test_it_counts_parts_for_both_sides() -> None:
    told = open_job(sides=("left", "right")).do(c.WhatDoINeed())
    assert "6 joint bolts, use-once" in told.shown


def test_extra_work_needs_more() -> None:
    table = open_job(operations=("roll-link",))
    table.do(c.AddOperation("lower-joint"), c.Approve("customer", "by phone"))
    assert "joint bolts" in table.do(c.WhatDoINeed()).shown
