"""How the vehicle stands: ride height by axle, what hangs, what is drained, and what is said before it comes down."""

from __future__ import annotations

import pytest

from job.table import Table, demo_procedure, open_job
from sparehand.job import commands as c
from sparehand.job.answering.answer_overview import back_at_the_bench, open_on_vehicle
from sparehand.job.conditions import changed, holds
from sparehand.procedures.model import Procedure


def shown(table: Table) -> str:
    return " ".join(line.shown for line in open_on_vehicle(table.state))


def with_condition(**changes: object) -> Procedure:
    procedure = demo_procedure()
    condition = procedure.conditions[0].model_copy(update=changes)
    return procedure.model_copy(update={"conditions": (condition,)})


def at_the_lowering(procedure: Procedure | None = None) -> Table:
    table = open_job(procedure)
    table.work_until("settle")
    table.do(c.Lifted())
    return table


def test_one_axle_at_ride_height_is_not_the_other() -> None:
    front = changed(frozenset(), "ride-height", "front", True)
    assert holds(front, "ride-height", "front")
    assert not holds(front, "ride-height", "rear")
    assert not holds(front, "ride-height", "left")
    assert holds(changed(front, "ride-height", "rear", True), "ride-height", "left")


def test_lifting_one_axle_leaves_the_other_where_it_is() -> None:
    both = changed(frozenset(), "ride-height", None, True)
    rear = changed(both, "ride-height", "front", False)
    assert holds(rear, "ride-height", "rear")
    assert not holds(rear, "ride-height", "front")
    assert changed(rear, "ride-height", None, False) == frozenset()


def test_lifting_the_vehicle_ends_ride_height() -> None:
    table = at_the_lowering()
    table.work_until("cam-tight")
    assert "waits" not in table.do(c.RepeatStep()).shown
    table.do(c.Lifted())
    assert table.do(c.MarkDone()).tone == "refused"
    assert "waits for ride height" in table.last.shown


def test_ramps_count_only_where_the_procedure_says_so() -> None:
    assert at_the_lowering().do(c.ConditionHolds(way="loaded on ramps")).tone != "refused"
    assert at_the_lowering(with_condition(also=())).do(c.ConditionHolds(way="loaded on ramps")).tone == "refused"


def test_a_distance_counts_only_when_it_was_measured_before() -> None:
    procedure = with_condition(also=("held at hub-to-arch distance",), distance="hub-to-arch")
    table = at_the_lowering(procedure)
    held = c.ConditionHolds(way="held at hub-to-arch distance")
    assert table.do(held).tone == "refused"
    table.do(c.GoTo("tighten-wheel"), c.Confirm())
    table.work_until("height")
    table.do(c.Reading("380"), c.Confirm(), c.Lifted())
    assert table.do(held).tone != "refused"


def test_before_it_comes_down_it_says_what_is_loose_wheels_on_stand_clear() -> None:
    table = open_job()
    table.work_until("lower")
    told = table.do(c.Understood()).shown
    assert "wheels on, stand clear" in told
    assert "cam bolt" in told.lower()


def test_what_hangs_is_told_until_it_is_fitted_again() -> None:
    table = open_job()
    table.work_until("clamp-out")
    assert "arm on the jack, right" in shown(table)
    table.work_until("link-in")
    assert "arm on the jack" not in shown(table)


def test_a_drained_fluid_is_told_until_it_is_filled_again() -> None:
    table = open_job(demo_procedure("wheel-bearing-press"), ("drive-shaft",))
    table.work_until("shaft-in")
    assert "Drained, not filled again: gear oil" in shown(table)
    table.do(c.Renewed(), c.Next(), c.Next())
    assert "Drained" not in shown(table)


def test_coming_back_asks_to_check_by_hand_what_was_hand_tight() -> None:
    table = open_job()
    table.work_until("upper-nut-tight")
    said = " ".join(line.shown for line in back_at_the_bench(table.state))
    assert "Check by hand what was hand tight: the upper link nut, right, the lower link bolt, right and " in said


@pytest.mark.parametrize("until", ["clamp-out", "settle"])
def test_parking_says_it_is_not_safe_to_drive(until: str) -> None:
    table = open_job()
    table.work_until(until)
    assert "Not safe to drive." in table.do(c.Park()).shown


def test_leaving_a_check_for_later_says_that_it_is_not_safe_to_drive() -> None:
    table = open_job(demo_procedure("brake-discs-epb"))
    gates = [key for key in table.state.plan.steps if table.state.plan.step(key).passes_gate]
    table.work_until(gates[0].step)
    while table.state.progress.at != table.state.plan.steps[-1] and table.do(c.SkipStep()).tone != "refused":
        if "Not safe to drive" in table.last.shown:
            return
    raise AssertionError("no check was left for later")
