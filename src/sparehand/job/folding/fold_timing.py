"""Holds, snags, timers, and the bench that starts again."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.fasteners import interrupted
from sparehand.job.progress import Progress, RunningTimer
from sparehand.procedures.plan import RunPlan


def bench_started(_event: e.BenchStarted, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """The bench runs again; an angle under way is unknown."""
    return replace(bench_slept(_event, progress, _at, plan), parked=False)


def bench_slept(_event: e.BenchSlept | e.BenchStarted, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """Nobody watched the angle that was under way."""
    return replace(progress, fastenings=interrupted(progress.fastenings, plan.procedure))


def hold_started(event: e.HoldStarted, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """Work stops; an angle under way is unknown."""
    return replace(
        progress, fastenings=interrupted(progress.fastenings, plan.procedure), crew=progress.crew.stopped(event.reason)
    )


def hold_ended(_event: e.HoldEnded, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """Work goes on."""
    return replace(progress, crew=progress.crew.working(), parked=False)


def snag_started(event: e.SnagStarted, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """A snag runs."""
    return replace(progress, snag=event.snag)


def snag_ended(_event: e.SnagEnded, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """No snag runs."""
    return replace(progress, snag=None)


def timer_started(event: e.TimerStarted, progress: Progress, at: Moment, _plan: RunPlan) -> Progress:
    """One timer more."""
    return replace(progress, timers=(*progress.timers, RunningTimer(event.name, event.minutes, at)))


def timer_ended(event: e.TimerRang | e.TimerStopped, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """One timer fewer."""
    return replace(progress, timers=tuple(timer for timer in progress.timers if timer.name != event.name))
