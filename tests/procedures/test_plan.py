"""A run merges shared access once, repeats sided phases for each side, and keeps the working order."""

from __future__ import annotations

import pytest
from hypothesis import given, strategies as st

from procedures.seeding import DEMOS, demo
from sparehand.ground.errors import InputError
from sparehand.procedures.model import Phase, Side
from sparehand.procedures.plan import PhaseKey, plan_run

Choice = tuple[str, list[str], list[Side]]
PROCEDURES = {id: demo(id).procedure for id in DEMOS}


@st.composite
def choices(draw: st.DrawFn) -> Choice:
    """A demo procedure with some of its operations and sides in any order."""
    procedure = PROCEDURES[draw(st.sampled_from(DEMOS))]
    operations = draw(st.lists(st.sampled_from([operation.id for operation in procedure.operations])))
    sides = draw(st.lists(st.sampled_from(procedure.sides))) if procedure.sides else []
    return procedure.id, operations, sides


def sides_of(phase: Phase, on: tuple[Side, ...]) -> tuple[Side | None, ...]:
    """The sides on which a phase is done; None once where it does not repeat."""
    if phase.if_sides and not set(on) & set(phase.if_sides):
        return ()
    limited = tuple(side for side in on if side in phase.only_sides or not phase.only_sides)
    return limited if phase.sided else (None,)


@given(choices())
def test_every_needed_phase_is_planned_once_a_side_and_nothing_else(choice: Choice) -> None:
    id, operations, sides = choice
    procedure = PROCEDURES[id]
    plan = plan_run(procedure, operations, sides)
    chosen = operations or [operation.id for operation in procedure.operations]
    wanted = {phase for operation in chosen for phase in procedure.operation(operation).phases}
    wanted |= {id for phase in procedure.phases if phase.id in wanted for way in phase.ways[:1] for id in way.phases}
    on = tuple(dict.fromkeys(sides)) or procedure.sides
    keys = [planned.key for planned in plan.phases]
    assert len(keys) == len(set(keys))
    assert set(keys) == {
        PhaseKey(phase.id, side) for phase in procedure.phases if phase.id in wanted for side in sides_of(phase, on)
    }


@given(choices())
def test_on_one_side_phases_keep_the_order_of_the_file(choice: Choice) -> None:
    id, operations, sides = choice
    procedure = PROCEDURES[id]
    order = [phase.id for phase in procedure.phases]
    plan = plan_run(procedure, operations, sides)
    for side in plan.sides or (None,):
        places = [order.index(p.key.phase) for p in plan.phases if p.key.side in (side, None)]
        assert places == sorted(places)


@given(choices())
def test_after_and_before_walk_the_whole_run(choice: Choice) -> None:
    id, operations, sides = choice
    plan = plan_run(PROCEDURES[id], operations, sides)
    for step, following in zip(plan.steps, plan.steps[1:], strict=False):
        assert plan.after(step) == following
        assert plan.before(following) == step
    assert plan.before(plan.steps[0]) is None
    assert plan.after(plan.steps[-1]) is None


def test_shared_access_is_done_once() -> None:
    procedure = PROCEDURES["engine-mounts"]
    mounts, arm, both = (
        [planned.key.phase for planned in plan_run(procedure, chosen, ["right"]).phases]
        for chosen in (["mounts"], ["torque-arm"], ["mounts", "torque-arm"])
    )
    shared = set(mounts) & set(arm)
    assert {"open-below", "support-engine"} <= shared
    assert set(mounts) - shared
    assert set(arm) - shared
    assert sorted(both) == sorted({*mounts, *arm})


def test_a_phase_for_one_side_alone_is_planned_there_alone() -> None:
    plan = plan_run(PROCEDURES["engine-mounts"], ["mounts"])
    assert [planned.key.side for planned in plan.phases if planned.key.phase == "remove-wheel"] == ["right"]
    assert [planned.key.side for planned in plan.phases if planned.key.phase == "fit-mount"] == ["left", "right"]


def test_an_unknown_operation_or_side_is_answered_with_those_there_are() -> None:
    procedure = demo("arm-joint").procedure
    with pytest.raises(InputError, match="no operation 'wing'; it has: lower-joint, roll-link"):
        plan_run(procedure, ["wing"])
    with pytest.raises(InputError, match="no side 'front'; it has: left, right"):
        plan_run(procedure, [], ["front"])


def test_an_operation_may_be_named_as_it_was_called_before() -> None:
    procedure = demo("arm-joint").procedure
    joint = procedure.operations[0].model_copy(update={"was": ("ball-joint",)})
    renamed = procedure.model_copy(update={"operations": (joint, *procedure.operations[1:])})
    assert plan_run(renamed, ["ball-joint"]) == plan_run(renamed, ["lower-joint"])
