"""Leaving the procedure for a fastener, and how it ended."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.fasteners import hand_tight
from sparehand.job.progress import Departure, Progress, answered
from sparehand.procedures.plan import FastenerKey, RunPlan


def departure_recorded(event: e.DepartureRecorded, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """The fastener goes another way; what was tightened of it does not settle it."""
    before = progress.fastenings.get(event.fastener, hand_tight(plan.procedure.fastener(event.fastener.fastener)))
    after = replace(before, departed=event.departure, settled=False)
    return replace(
        progress,
        fastenings={**progress.fastenings, event.fastener: after},
        departures=(*progress.departures, Departure(event, event.reason)),
        doubtful=progress.doubtful - {event.fastener},
    )


def departure_explained(event: e.DepartureExplained, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The last departure of the fastener has its reason."""
    return _latest(progress, event.fastener, reason=event.reason)


def departure_decided(event: e.DepartureDecided, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The last departure of the fastener has who decided it."""
    return _latest(progress, event.fastener, decided_by=event.by)


def tightened_by_other_data(event: e.TightenedByOtherData, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The fastener is tight without the torque of the file."""
    fastening = replace(progress.fastenings[event.fastener], fitted=True, settled=True)
    after = replace(
        answered(progress, str(event.fastener)), fastenings={**progress.fastenings, event.fastener: fastening}
    )
    return _latest(after, event.fastener, tightened=event)


def _latest(progress: Progress, key: FastenerKey, **changes: object) -> Progress:
    """Change the last departure of a fastener."""
    places = [place for place, one in enumerate(progress.departures) if one.recorded.fastener == key]
    if not places:
        return progress
    departures = list(progress.departures)
    departures[places[-1]] = replace(departures[places[-1]], **changes)  # type: ignore[arg-type]
    return replace(progress, departures=tuple(departures))
