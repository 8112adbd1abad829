"""How the vehicle stands: its conditions, by the words of the procedure, and whether it is raised."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.conditions import axle_of, holds
from sparehand.job.deciding.decide_moving import ask_for
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import ConditionChanged, StanceChanged
from sparehand.job.obligations import obligations
from sparehand.job.state import JobState
from sparehand.procedures.vehicle import Condition, ConditionWay

RIDE_HEIGHT = "ride-height"
"""The condition that "at ride height" means where the procedure has one of that id."""


def condition_holds(state: JobState, command: c.ConditionHolds, _context: Context) -> Decision:
    """A condition of the procedure holds, where nothing stands against it."""
    condition = _meant(state, command)
    if condition is None:
        return refuse("This procedure does not wait for that.", "what comes next")
    if holds(state.progress.conditions, condition.id, state.side):
        return refuse("That holds already.", "next")
    blocked = _warned(state) or _does_not_count(state, condition, command.way)
    if blocked:
        return blocked
    event = ConditionChanged(condition=condition.id, holds=True, axle=axle_of(state.side), way=command.way)
    return tell("condition", event, about=condition.id)


def condition_over(state: JobState, command: c.ConditionOver, _context: Context) -> Decision:
    """A condition holds no longer."""
    ended = sorted({(id, axle) for id, axle in state.progress.conditions if id == command.condition}, key=str)
    if not ended:
        return refuse("That does not hold.", "where am i")
    events = (ConditionChanged(condition=id, holds=False, axle=axle) for id, axle in ended)
    return tell("condition over", *events, about=command.condition)


def lifted(state: JobState, command: c.Lifted, _context: Context) -> Decision:
    """The vehicle, or one end of it, is off its wheels: what holds on the wheels only is over there."""
    procedure = state.plan.procedure
    ended = sorted(
        {
            id
            for id, axle in state.progress.conditions
            if (command.axle is None or axle in (None, command.axle)) and procedure.condition(id).ends_when_raised
        }
    )
    if not ended and state.progress.stance_at(command.axle) != "lowered":
        return refuse("The vehicle is not known to stand on its wheels.", "where am i")
    over = (ConditionChanged(condition=id, holds=False, axle=command.axle) for id in ended)
    raised = StanceChanged(end=command.axle or "vehicle", stance="raised")
    return tell("lifted", *over, raised, about=", ".join(procedure.condition(id).name for id in ended))


def _meant(state: JobState, command: c.ConditionHolds) -> Condition | None:
    """The condition that was named; else the one of this step or the first that may hold in that way."""
    known = {condition.id: condition for condition in state.plan.procedure.conditions}
    if command.condition or command.way == "on its wheels":
        return known.get(command.condition or RIDE_HEIGHT)
    here = known.get(state.step.establishes or "")
    others = (one for one in known.values() if command.way in one.also)
    return here or next(others, None) or known.get(RIDE_HEIGHT)


def _does_not_count(state: JobState, condition: Condition, way: ConditionWay) -> Decision | None:
    """Why standing in this way is not the condition for this procedure, if it is not."""
    if way == "on its wheels":
        return None
    if way not in condition.also:
        return refuse(f"For this procedure, {way} does not count as {condition.name}.", condition.sayings[0])
    if way == "held at hub-to-arch distance" and not _distances(state, condition.distance):
        return refuse("The distance was not measured before dismantling.", condition.sayings[0])
    return None


def _distances(state: JobState, measurement: str | None) -> bool:
    return any(id == measurement for id, _ in state.progress.measurements)


def _warned(state: JobState) -> Decision | None:
    """An open warning comes before anything that is recorded at the step."""
    open_now = obligations(state)
    return ask_for(open_now[0]) if open_now and open_now[0].duty == "warning" else None
