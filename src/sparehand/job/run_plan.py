"""The plan of a run as far as the job has come: its procedure, what joined it, its operations and the ways chosen."""

from __future__ import annotations

from collections.abc import Mapping

from sparehand.job.progress import Progress
from sparehand.procedures.joining import with_joined
from sparehand.procedures.model import Procedure, Side
from sparehand.procedures.plan import PhaseKey, RunPlan, StepKey, plan_run

Extent = tuple[tuple[str, ...], tuple[Side, ...], frozenset[StepKey], Mapping[PhaseKey, str]]


def plan_after(opened: Procedure, plan: RunPlan, before: Progress, after: Progress) -> RunPlan:
    """The plan for what the job contains `after`; `plan` itself where that is what it contained `before`."""
    same_procedure = before.grown is after.grown and before.joined == after.joined
    if same_procedure and _extent(before) == _extent(after):
        return plan
    grown = plan.procedure if same_procedure else after.grown or with_joined(opened, after.sides, after.joined)
    return plan_run(grown, *_extent(after))


def _extent(progress: Progress) -> Extent:
    """What a plan is made of, beside its procedure."""
    sides = dict.fromkeys((*progress.sides, *(side for each in progress.joined for side in each.sides)))
    return progress.operations, tuple(sides), progress.keeps, progress.ways
