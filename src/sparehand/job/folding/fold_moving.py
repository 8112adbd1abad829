"""From step to step, and what a finished step takes out and puts in."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.fasteners import hand_tight, removed
from sparehand.job.folding.fold_redoing import taken_out_again
from sparehand.job.progress import Progress, with_stance
from sparehand.procedures.model import Step
from sparehand.procedures.plan import FastenerKey, RunPlan, StepKey


def step_reached(event: e.StepReached, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """The technician is at another step; the one before is finished, skipped or left."""
    if event.finished is not None:
        progress = _finish(progress, event.finished, plan)
    skipped = (*progress.skipped, *event.skipped)
    open_skips = tuple(key for key in dict.fromkeys(skipped) if key not in progress.done)
    snag = progress.snag if event.step.at == progress.at.at else None
    places = progress.places
    if progress.at.at.side is not None and event.step.at.side != progress.at.at.side:
        places = {**places, progress.at.at.side: progress.at}
    asked = progress.question.question.kind if progress.question else None
    question = None if asked == "skip steps" else progress.question
    return replace(
        progress, at=event.step, places=places, skipped=open_skips, snag=snag, naming=None, question=question
    )


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
    off = tuple(entry for entry in progress.off if entry[0] not in step.puts_on or entry[1] != key.at.side)
    progress = _moved(progress, step)
    return replace(
        progress,
        off=tuple(dict.fromkeys((*off, *((id, key.at.side) for id in step.takes_off)))),
        doubtful=progress.doubtful - {FastenerKey(id, key.at.side) for id in (*step.removes, *step.slackens)},
        drained=tuple(dict.fromkeys((*drained, *step.drains))),
        hanging=tuple(dict.fromkeys((*hanging, *((what, key.at.side) for what in step.hangs)))),
        done=progress.done | {key},
        skipped=tuple(other for other in progress.skipped if other != key),
        fastenings=fastenings,
        renewed=renewed,
    )


def _moved(progress: Progress, step: Step) -> Progress:
    """The vehicle as the step raises or lowers it."""
    if step.raises:
        progress = with_stance(progress, step.raises, "raised")
    return with_stance(progress, step.lowers, "lowered") if step.lowers else progress
