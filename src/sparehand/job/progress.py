"""How far the job has come, folded from its events one at a time; time itself is the ledger's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import singledispatch
from typing import Literal

from sparehand.clock import Moment
from sparehand.job import events as e
from sparehand.job.fasteners import (
    Fastening,
    Fastenings,
    confirmed,
    hand_tight,
    inside_an_angle,
    removed,
)
from sparehand.procedures.model import FindingAnswer, Procedure, Side
from sparehand.procedures.plan import FastenerKey, RunPlan, StepKey
from sparehand.procedures.quantities import TorqueUnit

Sided = tuple[str, Side | None]
"""An id of the procedure on a side."""


@dataclass(frozen=True)
class RunningTimer:
    """A named timer; due `minutes` after `started`."""

    name: str
    minutes: float
    started: Moment

    def remaining_ms(self, now: Moment) -> int:
        """Milliseconds until it is due; not positive when it is."""
        return round(self.minutes * 60_000) - self.started.milliseconds_until(now)


@dataclass(frozen=True)
class OpenQuestion:
    """A question that waits for its answer, and since when."""

    question: e.Question
    asked: Moment


@dataclass(frozen=True)
class Progress:
    """Everything the job knows of itself but time. Undo brings an earlier one back whole."""

    at: StepKey
    unit: TorqueUnit
    done: frozenset[StepKey] = frozenset()
    skipped: tuple[StepKey, ...] = ()
    fastenings: Fastenings = field(default_factory=dict)
    renewed: frozenset[Sided] = frozenset()
    understood: frozenset[Sided] = frozenset()
    conditions: frozenset[str] = frozenset()
    gates: frozenset[str] = frozenset()
    marks: Mapping[Sided, Literal["made", "found"]] = field(default_factory=dict)
    findings: Mapping[Sided, FindingAnswer] = field(default_factory=dict)
    measurements: Mapping[Sided, e.MeasurementRecorded] = field(default_factory=dict)
    tightenings: tuple[e.TighteningConfirmed, ...] = ()
    out_of_limits: tuple[e.OutOfLimitsRead, ...] = ()
    departures: tuple[e.DepartureRecorded, ...] = ()
    timers: tuple[RunningTimer, ...] = ()
    hold: e.HoldReason | None = None
    snag: e.SnagKind | None = None
    question: OpenQuestion | None = None
    lapsed: tuple[e.Question, ...] = ()
    parked: bool = False
    closed: e.JobClosed | None = None


def advance(progress: Progress, event: e.Event, at: Moment, plan: RunPlan) -> Progress:
    """The progress after `event`, which happened at `at`."""
    return _after(event, progress, at, plan)


@singledispatch
def _after(_event: e.Event, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """Events that only move time leave the progress as it is."""
    return progress


def _answered(progress: Progress, about: str) -> Progress:
    """The open question has its answer, and a lapsed one about the same is off the list."""
    lapsed = tuple(question for question in progress.lapsed if question.about != about)
    return replace(progress, question=None, lapsed=lapsed)


@_after.register
def _(_event: e.BenchStarted, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    return replace(_angles_unknown(progress, plan.procedure), parked=False)


@_after.register
def _(event: e.StepReached, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    if event.finished is not None:
        progress = _finish(progress, event.finished, plan)
    skipped = (*progress.skipped, *event.skipped)
    open_skips = tuple(key for key in dict.fromkeys(skipped) if key not in progress.done)
    snag = progress.snag if event.step.at == progress.at.at else None
    return replace(progress, at=event.step, skipped=open_skips, snag=snag)


@_after.register
def _(event: e.StepDone, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    return _finish(progress, event.step, plan)


def _finish(progress: Progress, key: StepKey, plan: RunPlan) -> Progress:
    """Count a step as done, with what it takes out and puts in by hand."""
    step = plan.step(key)
    fastenings = dict(progress.fastenings)
    renewed = progress.renewed
    for id in step.removes:
        fastenings[FastenerKey(id, key.at.side)] = removed(plan.procedure.fastener(id))
        renewed -= {(id, key.at.side)}
    for id in (*step.slackens, *step.fits):
        fastenings[FastenerKey(id, key.at.side)] = hand_tight(plan.procedure.fastener(id))
    return replace(
        progress,
        done=progress.done | {key},
        skipped=tuple(other for other in progress.skipped if other != key),
        fastenings=fastenings,
        renewed=renewed,
    )


@_after.register
def _(event: e.TighteningConfirmed, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    fastener = plan.procedure.fastener(event.fastener.fastener)
    before = progress.fastenings.get(event.fastener, hand_tight(fastener))
    return replace(
        _answered(progress, str(event.fastener)),
        fastenings={**progress.fastenings, event.fastener: confirmed(before, event.stage, event.count)},
        tightenings=(*progress.tightenings, event),
    )


@_after.register
def _(event: e.OutOfLimitsRead, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    return replace(_answered(progress, str(event.fastener)), out_of_limits=(*progress.out_of_limits, event))


@_after.register
def _(event: e.TighteningRestarted, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    fastener = plan.procedure.fastener(event.fastener.fastener)
    renewed = progress.renewed
    if fastener.use_once:
        renewed -= {(event.fastener.fastener, event.fastener.side)}
    return replace(
        _answered(progress, str(event.fastener)),
        fastenings={**progress.fastenings, event.fastener: hand_tight(fastener)},
        renewed=renewed,
    )


@_after.register
def _(event: e.DepartureRecorded, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    fastener = plan.procedure.fastener(event.fastener.fastener)
    before = progress.fastenings.get(event.fastener, hand_tight(fastener))
    return replace(
        progress,
        fastenings={**progress.fastenings, event.fastener: replace(before, departed=True)},
        departures=(*progress.departures, event),
    )


@_after.register
def _(event: e.PartRenewed, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    return replace(progress, renewed=progress.renewed | {(event.part, event.side)})


@_after.register
def _(event: e.WarningUnderstood, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    return replace(progress, understood=progress.understood | {(event.warning, event.side)})


@_after.register
def _(event: e.WarningSkipped, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    return _answered(progress, event.warning)


@_after.register
def _(event: e.ConditionChanged, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    only = {event.condition}
    return replace(progress, conditions=progress.conditions | only if event.holds else progress.conditions - only)


@_after.register
def _(event: e.GatePassed, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    return replace(progress, gates=progress.gates | {event.gate})


@_after.register
def _(event: e.HoldStarted, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    return replace(_angles_unknown(progress, plan.procedure), hold=event.reason)


@_after.register
def _(_event: e.HoldEnded, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    return replace(progress, hold=None, parked=False)


@_after.register
def _(event: e.SnagStarted, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    return replace(progress, snag=event.snag)


@_after.register
def _(_event: e.SnagEnded, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    return replace(progress, snag=None)


@_after.register
def _(event: e.TimerStarted, progress: Progress, at: Moment, _plan: RunPlan) -> Progress:
    return replace(progress, timers=(*progress.timers, RunningTimer(event.name, event.minutes, at)))


@_after.register(e.TimerRang)
@_after.register(e.TimerStopped)
def _(event: e.TimerRang | e.TimerStopped, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    return replace(progress, timers=tuple(timer for timer in progress.timers if timer.name != event.name))


@_after.register
def _(event: e.FindingRecorded, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    return replace(progress, findings={**progress.findings, (event.inspection, event.side): event.finding})


@_after.register
def _(event: e.MeasurementRecorded, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    measurements = {**progress.measurements, (event.measurement, event.side): event}
    return replace(_answered(progress, event.measurement), measurements=measurements)


@_after.register
def _(event: e.MarkMade, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    return replace(progress, marks={**progress.marks, (event.mark, event.side): "made"})


@_after.register
def _(event: e.MarkFound, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    return replace(progress, marks={**progress.marks, (event.mark, event.side): "found"})


@_after.register
def _(event: e.UnitChosen, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    return replace(progress, unit=event.unit)


@_after.register
def _(event: e.QuestionAsked, progress: Progress, at: Moment, _plan: RunPlan) -> Progress:
    return replace(progress, question=OpenQuestion(event.question, at))


@_after.register
def _(event: e.QuestionAnswered, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    if progress.question is None:
        return progress
    asked = progress.question.question
    keep = (asked,) if event.answer == "lapsed" and asked not in progress.lapsed else ()
    return replace(progress, question=None, lapsed=(*progress.lapsed, *keep))


@_after.register
def _(_event: e.JobParked, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    return replace(_angles_unknown(progress, plan.procedure), parked=True, hold="end of day")


@_after.register
def _(event: e.JobClosed, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    return replace(progress, closed=event, question=None, hold=None, snag=None)


def _angles_unknown(progress: Progress, procedure: Procedure) -> Progress:
    """An angle that was interrupted is unknown: nobody can say how far it went."""
    return replace(progress, fastenings=interrupted(progress.fastenings, procedure))


def interrupted(fastenings: Fastenings, procedure: Procedure) -> dict[FastenerKey, Fastening]:
    """The fastenings after an interruption: those inside an angle stage are unknown from now on."""
    return {
        key: replace(fastening, angle_unknown=True)
        if inside_an_angle(procedure.fastener(key.fastener), fastening)
        else fastening
        for key, fastening in fastenings.items()
    }
