"""A technician with two corners to do, who waits while something soaks or goes to the other side meanwhile."""

from __future__ import annotations

from dataclasses import dataclass

from job.table import Table, open_job
from sparehand.job import commands as c
from sparehand.job.work_order import place_elsewhere
from sparehand.procedures.model import Procedure

DEFAULT_MINUTES = 5.0
"""For a phase without planned minutes."""
MOST_TURNS = 2_000


@dataclass(frozen=True)
class Corners:
    """What a job on all sides took: minutes from opening to its last step, and how many of them were only waited."""

    elapsed_minutes: float
    waited_minutes: float
    table: Table


def work_both(procedure: Procedure, interleave: bool) -> Corners:
    """Do every step on every side; each takes its share of the planned minutes of its phase.

    A step is not begun while a timer of its own side runs. Raises AssertionError where the job comes to no end.
    """
    table = open_job(procedure, sides=procedure.sides)
    began, waited = table.clock.now(), 0
    for _ in range(MOST_TURNS):
        if set(table.state.plan.steps) <= table.state.progress.done:
            return Corners(began.milliseconds_until(table.clock.now()) / 60_000, waited / 60_000, table)
        if not _soaks(table):
            _do_step(table)
        elif interleave and _other_side_is_free(table):
            table.do(c.OtherSide(), after_ms=0)
        else:
            waited += _wait(table)
    raise AssertionError(f"{procedure.id} came to no end at {table.state.progress.at}")


def _soaks(table: Table) -> bool:
    """Whether a timer of this side runs; where no side is named it concerns every step."""
    side = table.state.side
    return any(_side_of(timer.name) in (side, None) for timer in table.state.progress.timers)


def _side_of(timer: str) -> str | None:
    side = timer.rpartition(", ")[2]
    return side if side in ("left", "right", "front", "rear") else None


def _other_side_is_free(table: Table) -> bool:
    place = place_elsewhere(table.state)
    running = {_side_of(timer.name) for timer in table.state.progress.timers}
    return place is not None and place.at.side not in running


def _wait(table: Table) -> int:
    """Wait for the timer that is due first; gives the milliseconds."""
    left = min(timer.remaining_ms(table.clock.now()) for timer in table.state.progress.timers)
    table.do(c.Tick(), after_ms=max(0, left))
    return max(0, left)


def _do_step(table: Table) -> None:
    phase = table.state.phase.phase
    share = (phase.planned_minutes or DEFAULT_MINUTES) / len(phase.steps)
    table.clock.advance(round(60_000 * share))
    for command in _answers(table):
        table.do(command, after_ms=0)
    table.do(c.Next(), after_ms=0)


def _answers(table: Table) -> list[c.Command]:
    """Everything that a step may ask for; what it does not ask for is refused and changes nothing."""
    step, procedure = table.state.step, table.state.plan.procedure
    ways = [way.id for phase in procedure.phases for way in phase.ways]
    said: list[c.Command] = [c.Understood(), *(c.ChooseWay(way) for way in ways[:1])]
    said += [c.MarkIsMade(), c.MarkIsFound(), c.Renewed(), c.Finding("good")]
    said += [c.ConditionHolds(one.id) for one in procedure.conditions]
    if step.measure:
        said += [c.Reading(f"{step.measure.high or step.measure.low or 1:g}"), c.Confirm()]
    return [*said, *[c.MarkDone()] * 6, c.CheckPassed(), c.ToolsBack()]
