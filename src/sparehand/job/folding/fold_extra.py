"""What the job contains: extra work and dropped operations."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.progress import ExtraWork, Progress, answered
from sparehand.procedures.plan import RunPlan, plan_run


def noted(event: ExtraWork, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """One more decision about the extent of the job."""
    return replace(progress, extra_work=(*progress.extra_work, event))


def approved(event: e.ExtraWorkApproved, progress: Progress, at: Moment, plan: RunPlan) -> Progress:
    """The operation belongs to the job."""
    operations = (*progress.operations, event.operation)
    return noted(event, replace(progress, operations=operations), at, plan)


def limited(event: e.ApprovalLimited, progress: Progress, at: Moment, plan: RunPlan) -> Progress:
    """The approval has its limit."""
    return noted(event, answered(progress, event.operation), at, plan)


def dropped(event: e.OperationDropped, progress: Progress, at: Moment, plan: RunPlan) -> Progress:
    """The operation goes, apart from the steps that stay."""
    operations = tuple(id for id in progress.operations if id != event.operation)
    keeps = progress.keeps | set(event.keeps)
    left = set(plan_run(plan.procedure, operations, plan.sides, keeps).steps)
    after = replace(
        answered(progress, event.operation),
        operations=operations,
        keeps=keeps,
        skipped=tuple(key for key in progress.skipped if key in left),
    )
    return noted(event, after, at, plan)
