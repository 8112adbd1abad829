"""From step to step, and what a finished step takes out and puts in."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.fasteners import hand_tight, removed
from sparehand.job.folding.fold_redoing import taken_out_again
from sparehand.job.progress import Progress
from sparehand.procedures.plan import FastenerKey, RunPlan, StepKey


def step_reached(event: e.StepReached, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """The technician is at another step; the one before is finished, skipped or left."""
    if event.finished is not None:
        progress = _finish(progress, event.finished, plan)
    skipped = (*progress.skipped, *event.skipped)
    open_skips = tuple(key for key in dict.fromkeys(skipped) if key not in progress.done)
    snag = progress.snag if event.step.at == progress.at.at else None
    return replace(progress, at=event.step, skipped=open_skips, snag=snag, naming=None)


def step_done(event: e.StepDone, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """The step is done."""
    return _finish(progress, event.step, plan)


def _finish(progress: Progress, key: StepKey, plan: RunPlan) -> Progress:
    """Count a step as done, with what it takes out and puts in by hand."""
    step = plan.step(key)
    progress = taken_out_again(progress, key, plan)
    fastenings = dict(progress.fastenings)
    renewed = progress.renewed
    for id in step.removes:
        at = FastenerKey(id, key.at.side)
        fastenings[at] = removed(plan.procedure.fastener(id), fastenings.get(at))
        renewed -= {(id, key.at.side)}
    for id in (*step.slackens, *step.fits):
        at = FastenerKey(id, key.at.side)
        fastenings[at] = hand_tight(plan.procedure.fastener(id), fastenings.get(at))
    hanging = tuple(entry for entry in progress.hanging if entry[0] not in step.releases or entry[1] != key.at.side)
    drained = tuple(id for id in progress.drained if id not in step.fills)
    return replace(
        progress,
        drained=tuple(dict.fromkeys((*drained, *step.drains))),
        hanging=tuple(dict.fromkeys((*hanging, *((what, key.at.side) for what in step.hangs)))),
        done=progress.done | {key},
        skipped=tuple(other for other in progress.skipped if other != key),
        fastenings=fastenings,
        renewed=renewed,
    )
