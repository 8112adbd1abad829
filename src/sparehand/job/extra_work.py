"""Work found to be needed mid-job, and work no longer wanted: what waits for an answer, what stays to be done."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.job.events import ExtraWorkApproved, ExtraWorkProposed
from sparehand.job.found_faults import Fault, fault_of, fault_words
from sparehand.job.state import JobState
from sparehand.procedures.model import Procedure, Side, Stage, Step
from sparehand.procedures.plan import FastenerKey, PlannedPhase, StepKey, plan_run


def waiting(state: JobState) -> str | None:
    """The id of the operation that was proposed last and waits for somebody's word."""
    latest = state.progress.extra_work[-1:]
    open_ones = [event for event in latest if isinstance(event, ExtraWorkProposed)]
    return open_ones[0].operation if open_ones else None


def approved_operations(state: JobState) -> tuple[str, ...]:
    """What was approved, in that order; some of it may have been dropped since."""
    return tuple(event.operation for event in state.progress.extra_work if isinstance(event, ExtraWorkApproved))


def approved_faults(state: JobState) -> tuple[Fault, ...]:
    """The findings whose work was approved, in the order of the approvals."""
    faults = (fault_of(state.progress.faults, work) for work in approved_operations(state))
    return tuple(fault for fault in faults if fault is not None)


def just_approved(state: JobState) -> str | None:
    """The id of the operation that was approved last, with nothing decided since."""
    latest = state.progress.extra_work[-1:]
    return next((event.operation for event in latest if isinstance(event, ExtraWorkApproved)), None)


def work_title(state: JobState, work: str) -> str:
    """What an operation, or the work that a finding proposes, is called; of another procedure as it was proposed."""
    fault = fault_of(state.progress.faults, work)
    if fault:
        return fault_words(state.plan.procedure, fault.found)
    told = (event.title for event in _proposals(state, work) if event.title)
    return next(told, None) or state.plan.procedure.operation(work).title


def sides_joined(state: JobState, operation: str, procedure: Procedure) -> tuple[Side, ...]:
    """The sides on which an operation of another procedure is done: where it was found to be needed, else the job's."""
    found = tuple(event.side for event in _proposals(state, operation) if event.side)
    return tuple(side for side in found or state.progress.sides if side in procedure.sides) or procedure.sides


def _proposals(state: JobState, work: str) -> Iterator[ExtraWorkProposed]:
    """How a work was proposed, the last time first."""
    told = (event for event in reversed(state.progress.extra_work) if isinstance(event, ExtraWorkProposed))
    return (event for event in told if event.operation == work)


def steps_to_keep(state: JobState, operation: str) -> tuple[StepKey, ...]:
    """The steps that only `operation` needs and that stay when it is dropped.

    What is done, the present step, what puts back something that is apart, what it waits for, and the checks before
    the vehicle moves.
    """
    others = [id for id in state.plan.operations if id != operation]
    progress = state.progress
    needed = plan_run(state.plan.procedure, others, state.plan.sides, progress.keeps, progress.ways).steps
    return steps_put_back(state, frozenset(needed))


def steps_put_back(state: JobState, needed: frozenset[StepKey]) -> tuple[StepKey, ...]:
    """The steps of the present plan that stay though they are not `needed` any more, by the same rule."""
    kept = set(_put_back(state))
    awaited = {stage.condition for key in kept for stage in _stages(state, key)}
    for key in state.plan.steps:
        step = state.plan.step(key)
        waited_for = step.establishes in awaited if step.establishes else False
        if key in state.progress.done or key == state.progress.at or waited_for or step.passes_gate:
            kept.add(key)
    return tuple(key for key in state.plan.steps if key in kept - needed)


def _put_back(state: JobState) -> Iterator[StepKey]:
    """The steps that fit, tighten, find or fill again what is apart, and those that prepare such a fitting."""
    for planned in state.plan.phases:
        fits_next = False
        for step in reversed(planned.phase.steps):
            fasteners = (*step.removes, *step.slackens, *step.fits, *step.tightens)
            if fasteners or step.finds_mark:
                fits_next = _puts_back(state, planned, step)
            if fits_next:
                yield StepKey(planned.key, step.id)


def _puts_back(state: JobState, planned: PlannedPhase, step: Step) -> bool:
    side = planned.key.side
    apart = any(FastenerKey(id, side) in _apart(state) for id in (*step.fits, *step.tightens))
    marked = step.finds_mark is not None and state.progress.marks.get((step.finds_mark, side)) == "made"
    return apart or marked


def _apart(state: JobState) -> frozenset[FastenerKey]:
    """What is loose, or will be once the present step is done."""
    here = (FastenerKey(id, state.side) for id in (*state.step.removes, *state.step.slackens))
    return frozenset((*(entry.key for entry in state.loose), *here))


def _stages(state: JobState, key: StepKey) -> Iterator[Stage]:
    procedure = state.plan.procedure
    return (stage for id in state.plan.step(key).tightens for stage in procedure.fastener(id).tightening)
