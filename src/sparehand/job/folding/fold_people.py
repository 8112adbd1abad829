"""Who comes to a job, leaves it, and speaks."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.fasteners import interrupted
from sparehand.job.progress import Progress
from sparehand.procedures.plan import RunPlan


def technician_joined(event: e.TechnicianJoined, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """One more on the job."""
    return replace(progress, crew=progress.crew.joined(event.technician))


def technician_left(event: e.TechnicianLeft, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """One fewer; an angle under way is unknown from here on."""
    # Whoever takes over an angle does not know from where it was turned.
    fastenings = interrupted(progress.fastenings, plan.procedure)
    return replace(progress, fastenings=fastenings, crew=progress.crew.left(event.technician))


def technician_acts(event: e.TechnicianActs, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """Another one speaks."""
    return replace(progress, crew=progress.crew.led_by(event.technician))
