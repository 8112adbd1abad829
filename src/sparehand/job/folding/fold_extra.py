"""What the job contains: extra work and dropped operations."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.found_faults import fault_of
from sparehand.job.progress import ExtraWork, Progress, answered
from sparehand.procedures.joining import Joined
from sparehand.procedures.plan import RunPlan, StepKey, plan_run


def joined(event: e.ProcedureJoined, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """One procedure more in the run."""
    return replace(
        progress,
        joined=(*progress.joined, Joined(event.procedure, event.sides, event.procedure_sha256, event.pictures)),
    )


def things_are_one(event: e.ThingsAreOne, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """What is called alike in a procedure that joined is one on the vehicle."""
    known = (replace(one, shares=one.shares or one.procedure.id == event.procedure) for one in progress.joined)
    return replace(answered(progress, event.procedure), joined=tuple(known))


def noted(event: ExtraWork, progress: Progress, _at: Moment, _plan: RunPlan) -> Progress:
    """One more decision about the extent of the job."""
    return replace(progress, extra_work=(*progress.extra_work, event))


def approved(event: e.ExtraWorkApproved, progress: Progress, at: Moment, plan: RunPlan) -> Progress:
    """The operation belongs to the job; work that a finding proposed is a line beside it."""
    if fault_of(progress.faults, event.operation) is None:
        progress = replace(progress, operations=(*progress.operations, event.operation))
    return noted(event, progress, at, plan)


def limited(event: e.ApprovalLimited, progress: Progress, at: Moment, plan: RunPlan) -> Progress:
    """The approval has its limit."""
    return noted(event, answered(progress, event.operation), at, plan)


def dropped(event: e.OperationDropped, progress: Progress, at: Moment, plan: RunPlan) -> Progress:
    """The operation goes, apart from the steps that stay."""
    operations = tuple(id for id in progress.operations if id != event.operation)
    after = replace(answered(progress, event.operation), operations=operations)
    return noted(event, _kept(after, event.keeps, plan), at, plan)


def way_chosen(event: e.WayChosen, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """The way is taken; steps of another one go, apart from those that stay."""
    return _kept(replace(progress, ways={**progress.ways, event.at: event.way}), event.keeps, plan)


def _kept(progress: Progress, more: tuple[StepKey, ...], plan: RunPlan) -> Progress:
    """With `more` steps that stay, and nothing skipped that is not in the run any longer."""
    keeps = progress.keeps | set(more)
    left = set(plan_run(plan.procedure, progress.operations, plan.sides, keeps, progress.ways).steps)
    return replace(progress, keeps=keeps, skipped=tuple(key for key in progress.skipped if key in left))
