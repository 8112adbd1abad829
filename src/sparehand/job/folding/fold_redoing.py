"""Steps that are done once more, and what has to be put in again because it was taken out again."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.fasteners import hand_tight, removed
from sparehand.job.progress import Progress
from sparehand.procedures.plan import FastenerKey, RunPlan, StepKey


def steps_reopened(event: e.StepsReopened, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """The steps are to be done once more, the last of them first."""
    for key in reversed(event.steps):
        progress = _reopen(progress, key, plan)
    return replace(progress, at=event.steps[0], question=None)


def taken_out_again(progress: Progress, key: StepKey, plan: RunPlan) -> Progress:
    """A step that slackens or removes was done: later steps that had put the same fastener in must do so once more."""
    step = plan.step(key)
    return _not_done_after(progress, key, (*step.slackens, *step.removes), plan)


def _reopen(progress: Progress, key: StepKey, plan: RunPlan) -> Progress:
    """The step is not done any more: what it fitted is out, what it tightened is slack, its use-once parts are used."""
    step, side = plan.step(key), key.at.side
    fastenings = dict(progress.fastenings)
    for id in step.tightens:
        at = FastenerKey(id, side)
        fastenings[at] = hand_tight(plan.procedure.fastener(id), fastenings.get(at))
    for id in step.fits:
        at = FastenerKey(id, side)
        fastenings[at] = removed(plan.procedure.fastener(id), fastenings.get(at))
    used = {(id, side) for id in (*step.renews, *step.fits, *step.tightens)}
    forgotten = {(thing.id, side) for thing in (step.inspect, step.measure, *step.warnings) if thing is not None}
    marks = dict(progress.marks)
    if step.finds_mark and (step.finds_mark, side) in marks:
        marks[step.finds_mark, side] = "made"
    after = replace(
        progress,
        done=progress.done - {key},
        fastenings=fastenings,
        renewed=progress.renewed - used,
        understood=progress.understood - forgotten,
        findings={known: answer for known, answer in progress.findings.items() if known not in forgotten},
        measurements={known: value for known, value in progress.measurements.items() if known not in forgotten},
        marks=marks,
        doubtful=progress.doubtful - {FastenerKey(id, side) for id in (*step.fits, *step.tightens)},
    )
    return _gates_open_after(_not_done_after(after, key, step.fits, plan), key, plan)


def _not_done_after(progress: Progress, key: StepKey, fasteners: Collection[str], plan: RunPlan) -> Progress:
    """The steps after `key` that fitted or tightened one of these fasteners are to be done once more."""
    again = [
        later
        for later in _after(key, plan)
        if later.at.side == key.at.side
        and later in progress.done
        and not {*plan.step(later).fits, *plan.step(later).tightens}.isdisjoint(fasteners)
    ]
    used = {(id, key.at.side) for later in again for id in plan.step(later).renews}
    return (
        _gates_open_after(
            replace(progress, done=progress.done - set(again), renewed=progress.renewed - used), key, plan
        )
        if again
        else progress
    )


def _gates_open_after(progress: Progress, key: StepKey, plan: RunPlan) -> Progress:
    """What was checked after the step was checked of work that is not done any more."""
    checks = [later for later in (key, *_after(key, plan)) if plan.step(later).passes_gate and later in progress.done]
    gates = {plan.step(later).passes_gate for later in checks} | {plan.step(key).passes_gate}
    return replace(progress, done=progress.done - set(checks), gates=progress.gates - gates)


def _after(key: StepKey, plan: RunPlan) -> tuple[StepKey, ...]:
    return plan.steps[plan.steps.index(key) + 1 :]
