"""Faults found and pictures taken: each beside those before it."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.found_faults import Fault
from sparehand.job.progress import Progress, answered
from sparehand.procedures.plan import RunPlan


def fault_found(event: e.FaultFound, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """One finding more."""
    return replace(progress, faults=(*progress.faults, Fault(len(progress.faults) + 1, event)))


def fault_measured(event: e.FaultMeasured, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """A finding has its number; the last one measured counts, and the history holds all."""
    faults = tuple(replace(one, measured=event) if one.number == event.finding else one for one in progress.faults)
    return replace(answered(progress, str(event.finding)), faults=faults)


def picture_taken(event: e.PictureTaken, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """One picture more."""
    return replace(progress, pictures=(*progress.pictures, event))
