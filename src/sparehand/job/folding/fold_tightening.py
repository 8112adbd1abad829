"""Fasteners and their stages."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.fasteners import confirmed, hand_tight, partly_in, pieces_in
from sparehand.job.folding.fold_redoing import taken_out_again
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
    return replace(
        answered(progress, str(event.fastener)),
        out_of_limits=(*progress.out_of_limits, event),
        doubtful=progress.doubtful | {event.fastener},
    )


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
        doubtful=progress.doubtful - {event.fastener},
        renewed=renewed,
    )


def pieces_counted(event: e.PiecesCounted, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """So many pieces more are out or in; what later steps did with them is to be done once more."""
    fastener, before = plan.procedure.fastener(event.fastener.fastener), progress.fastenings.get(event.fastener)
    removes = event.fastener.fastener in plan.step(event.step).removes
    pieces = pieces_in(fastener, before) + (-event.count if removes else event.count)
    changed = partly_in(fastener, before, max(0, min(pieces, fastener.quantity)))
    progress = taken_out_again(progress, event.step, plan) if removes else progress
    return replace(progress, fastenings={**progress.fastenings, event.fastener: changed})


def angle_answered(event: e.AngleAnswered, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """An angle that was not begun is as it was before the hold."""
    fastening = replace(progress.fastenings[event.fastener], angle_unknown=event.begun)
    return replace(
        answered(progress, str(event.fastener)), fastenings={**progress.fastenings, event.fastener: fastening}
    )
