"""What is seen of the vehicle during the job, and that the job is practice."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.progress import SEEN_FIELDS, Progress, answered
from sparehand.procedures.plan import RunPlan


def conditions_seen(event: e.ConditionsSeen, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """What was said takes the place of what was known before; the rest stays."""
    said = {name: getattr(event, name) for name in SEEN_FIELDS}
    seen = progress.seen.model_copy(update={name: value for name, value in said.items() if value is not None})
    progress = replace(progress, seen=seen)
    return progress if event.odometer is None else answered(progress, "odometer")


def practice_marked(_event: e.PracticeMarked, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The job is practice."""
    return replace(progress, practice=True)
