"""What the order and the record say in words."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.progress import Progress
from sparehand.procedures.plan import RunPlan


def order_noted(event: e.OrderNoted, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """One line of the order."""
    return replace(progress, order={**progress.order, event.about: event.words})


def part_number_noted(event: e.PartNumberNoted, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The number of the part that was fitted."""
    return replace(progress, part_numbers={**progress.part_numbers, (event.part, event.side): event.number})


def old_part_kept(event: e.OldPartKept, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The old part was kept."""
    return replace(progress, old_kept=progress.old_kept | {(event.part, event.side)})


def rework_linked(event: e.ReworkLinked, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """The job puts an earlier one right."""
    return replace(progress, rework_of=event.job)
