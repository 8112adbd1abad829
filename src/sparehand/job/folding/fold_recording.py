"""What was found, made, renewed, understood or has become true."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.conditions import changed
from sparehand.job.progress import Progress, answered
from sparehand.procedures.plan import RunPlan


def part_renewed(event: e.PartRenewed, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The part is new."""
    return replace(progress, renewed=progress.renewed | {(event.part, event.side)})


def warning_understood(event: e.WarningUnderstood, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The warning is understood."""
    return replace(progress, understood=progress.understood | {(event.warning, event.side)})


def warning_skipped(event: e.WarningSkipped, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The question about the warning is answered."""
    return answered(progress, event.warning)


def condition_changed(event: e.ConditionChanged, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """A condition holds, or ends."""
    conditions = changed(progress.conditions, event.condition, event.axle, event.holds)
    return replace(progress, conditions=conditions)


def gate_passed(event: e.GatePassed, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The gate is passed."""
    return replace(progress, gates=progress.gates | {event.gate})


def finding_recorded(event: e.FindingRecorded, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The inspection point has an answer."""
    return replace(progress, findings={**progress.findings, (event.inspection, event.side): event.finding})


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
