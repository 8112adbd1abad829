"""Fasteners and their stages."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.fasteners import confirmed, hand_tight
from sparehand.job.progress import Progress, answered
from sparehand.procedures.plan import RunPlan


def tightening_confirmed(event: e.TighteningConfirmed, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """So many pieces reached a stage; a second check of it is void."""
    fastener = plan.procedure.fastener(event.fastener.fastener)
    before = progress.fastenings.get(event.fastener, hand_tight(fastener))
    return replace(
        answered(progress, str(event.fastener)),
        fastenings={**progress.fastenings, event.fastener: confirmed(before, event.stage, event.count)},
        tightenings=(*progress.tightenings, event),
        checked=tuple(one for one in progress.checked if one.fastener != event.fastener),
    )


def out_of_limits_read(event: e.OutOfLimitsRead, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """A reading out of limits is kept; nothing is final by it."""
    return replace(answered(progress, str(event.fastener)), out_of_limits=(*progress.out_of_limits, event))


def tightening_restarted(event: e.TighteningRestarted, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """Slackened: no stage is reached, and a use-once fastener is used up."""
    fastener = plan.procedure.fastener(event.fastener.fastener)
    before = progress.fastenings.get(event.fastener)
    renewed = progress.renewed
    if fastener.use_once:
        renewed -= {(event.fastener.fastener, event.fastener.side)}
    return replace(
        answered(progress, str(event.fastener)),
        fastenings={
            **progress.fastenings,
            event.fastener: hand_tight(fastener, before),
        },
        renewed=renewed,
    )
