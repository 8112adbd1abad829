"""The present fastener with its numbers: torque or angle first, then the sizes that turn and hold it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from sparehand.ground.clock import Moment
from sparehand.job.obligations import PresentTightening, present_tightening, unknown_angle, unmet_condition
from sparehand.job.state import JobState
from sparehand.procedures import wording
from sparehand.procedures.labels import counted, named, tool_of
from sparehand.procedures.model import Fastener, Measurement
from sparehand.procedures.plan import FastenerKey
from sparehand.procedures.quantities import spoken_torque


@dataclass(frozen=True)
class Figure:
    """One number to be read from afar: its digits, and below them its unit and what it is of."""

    digits: str
    unit: str
    of: str


@dataclass(frozen=True)
class Present:
    """What is in hand now: its name and state, its numbers, and what it waits for."""

    name: str = ""
    figures: tuple[Figure, ...] = ()
    gate: str = ""


def present_thing(state: JobState, now: Moment) -> Present:
    """The fastener in hand; where there is none the limits of what is measured, else the time left on a timer."""
    tightening = present_tightening(state)
    if tightening:
        return _to_tighten(state, tightening)
    step = state.step
    turned = dict.fromkeys((*step.slackens, *step.removes, *step.fits, *step.tightens))
    if turned:
        return _to_turn(state, tuple(state.plan.procedure.fastener(id) for id in turned))
    if step.measure and (step.measure.id, state.side) not in state.progress.measurements:
        return Present(figures=tuple(_limits(step.measure)))
    soonest = min(state.progress.timers, key=lambda timer: timer.remaining_ms(now), default=None)
    if soonest is None:
        return Present()
    minutes = -(-max(0, soonest.remaining_ms(now)) // 60_000)
    return Present(figures=(Figure(str(minutes), "min", f"left, {soonest.name}"),))


def _to_tighten(state: JobState, present: PresentTightening) -> Present:
    fastener, target = present.fastener, present.target
    sizes = tuple(_sizes(fastener))
    if present.angle_unknown:
        return Present(named(fastener), sizes, unknown_angle(present))
    stages = len(fastener.tightening)
    stage = f"stage {present.stage + 1} of {stages}" if stages > 1 else ""
    hand = "left-hand thread" if fastener.left_hand else ""
    name = ", ".join(filter(None, (_how_many(fastener, present.remaining), stage, target.order, hand)))
    if not state.plan.procedure.released:
        return Present(name, sizes, "torque withheld: this procedure is not released")
    waits = unmet_condition(state, target)
    gate = f"not yet: only {waits.when}" if waits else _met(state, target.condition)
    return Present(name, (_goal(state, present), *sizes), gate)


def _met(state: JobState, condition: str | None) -> str:
    return state.plan.procedure.condition(condition).when if condition else ""


def _goal(state: JobState, present: PresentTightening) -> Figure:
    target = present.target
    if target.torque is None:
        return Figure(wording.number_shown(target.angle_degrees or 0), "°", "turn further")
    value = spoken_torque(target.torque, state.progress.unit, target.tolerance_percent)
    converted = "" if value.unit == target.torque.unit else ", converted"
    return Figure(wording.number_shown(value.value), value.unit, f"torque{converted}")


def _to_turn(state: JobState, fasteners: tuple[Fastener, ...]) -> Present:
    """What is slackened, taken out, put in by hand, or already confirmed: sizes, and never a torque."""
    first, *others = fasteners
    then = f"; then {wording.listed([named(other) for other in others])}" if others else ""
    name = f"{_how_many(first, first.quantity)}, {_doing(state, first)}{then}"
    confirmed = first.id in state.step.tightens
    return Present(name, () if confirmed else tuple(_sizes(first)))


def _how_many(fastener: Fastener, count: int) -> str:
    """The fastener with its count, where there are several of it."""
    return fastener.name if fastener.quantity == 1 else counted(fastener, count)


def _doing(state: JobState, fastener: Fastener) -> str:
    step = state.step
    if fastener.id in step.slackens:
        return "slacken"
    if fastener.id in step.removes:
        return "take out"
    if fastener.id in step.fits:
        return "by hand now" if fastener.tightening else "fit"
    fastening = state.progress.fastenings.get(FastenerKey(fastener.id, state.side))
    return "torque withheld, the procedure was left" if fastening and fastening.departed else "confirmed"


def _sizes(fastener: Fastener) -> Iterator[Figure]:
    """Drive and counter-hold; a drive given in words, such as "star 45", shows its number."""
    if fastener.drive_mm is not None:
        yield Figure(wording.number_shown(fastener.drive_mm), "mm", tool_of(fastener))
    else:
        number = re.search(r"\d+(\.\d+)?", fastener.drive or "")
        if number and fastener.drive:
            yield Figure(number[0], "", fastener.drive)
    if fastener.counter_hold:
        yield Figure(wording.number_shown(fastener.counter_hold.size_mm), "mm", f"hold {fastener.counter_hold.holds}")


def _limits(measurement: Measurement) -> Iterator[Figure]:
    if measurement.low is not None:
        yield Figure(wording.number_shown(measurement.low), measurement.unit, "at least")
    if measurement.high is not None:
        yield Figure(wording.number_shown(measurement.high), measurement.unit, "at most")
