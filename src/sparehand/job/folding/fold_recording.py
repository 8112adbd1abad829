"""What was found, made, renewed, understood or has become true."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.conditions import changed
from sparehand.job.fasteners import hand_tight
from sparehand.job.progress import Progress, answered, with_stance
from sparehand.procedures.plan import FastenerKey, RunPlan


def part_renewed(event: e.PartRenewed, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The part is new."""
    return replace(progress, renewed=progress.renewed | {(event.part, event.side)})


def warning_understood(event: e.WarningUnderstood, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The warning is understood."""
    return replace(progress, understood=progress.understood | {(event.warning, event.side)})


def warning_skipped(event: e.WarningSkipped, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The question about the warning is answered."""
    return answered(progress, event.warning)


def condition_changed(event: e.ConditionChanged, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """A condition holds, or ends."""
    conditions = changed(progress.conditions, event.condition, event.axle, event.holds)
    on_wheels = (
        event.holds and event.way == "on its wheels" and plan.procedure.condition(event.condition).ends_when_raised
    )
    lowered = with_stance(progress, event.axle or "vehicle", "lowered") if on_wheels else progress
    return replace(lowered, conditions=conditions)


def gate_passed(event: e.GatePassed, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The gate is passed."""
    return replace(progress, gates=progress.gates | {event.gate})


def finding_recorded(event: e.FindingRecorded, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The inspection point has an answer."""
    at = event.inspection, event.side
    said = dict.fromkeys((*progress.findings_said.get(at, ()), event.finding))
    return replace(
        answered(progress, event.inspection),
        findings={**progress.findings, at: event.finding},
        findings_said={**progress.findings_said, at: tuple(said)},
    )


def measurement_recorded(event: e.MeasurementRecorded, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The measurement has a value."""
    measurements = {**progress.measurements, (event.measurement, event.side): event}
    return replace(answered(progress, event.measurement), measurements=measurements)


def mark_made(event: e.MarkMade, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The mark exists."""
    return replace(progress, marks={**progress.marks, (event.mark, event.side): "made"})


def mark_found(event: e.MarkFound, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The mark was used."""
    return replace(progress, marks={**progress.marks, (event.mark, event.side): "found"})


def unit_chosen(event: e.UnitChosen, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """Torques are spoken in this unit."""
    return replace(progress, unit=event.unit)


def told_without_step(event: e.ToldWithoutStep, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """What was told is so; a fastener is in, and how tight it is nobody knows."""
    progress, at = replace(answered(progress, event.about), told=(*progress.told, event)), (event.about, event.side)
    match event.what:
        case "fastener in":
            key, fastener = FastenerKey(*at), plan.procedure.fastener(event.about)
            fastening = replace(hand_tight(fastener, progress.fastenings.get(key)), tightness_unknown=True)
            return replace(progress, fastenings={**progress.fastenings, key: fastening})
        case "component on":
            return replace(progress, off=tuple(entry for entry in progress.off if entry != at))
        case "mark made":
            return replace(progress, marks={**progress.marks, at: "made"})


def part_not_renewed(event: e.PartNotRenewed, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The old part stays, by somebody's word."""
    return replace(progress, not_renewed=progress.not_renewed | {(event.part, event.side)})


def stance_changed(event: e.StanceChanged, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """The vehicle is raised or lowered; once raised again it is lowered again by its step, whose warnings are heard."""
    stands = with_stance(progress, event.end, event.stance)
    if event.stance == "lowered":
        return stands
    on_wheels = plan.procedure.holding_on_wheels
    again = {key for key in plan.steps if plan.step(key).lowers} or {
        key for key in plan.steps if plan.step(key).establishes in on_wheels
    }
    heard = {(warning.id, key.at.side) for key in again for warning in plan.step(key).warnings}
    return replace(stands, done=stands.done - again, understood=stands.understood - heard)
