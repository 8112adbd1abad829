"""How a first job's own procedure grows."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job import events as e, growing_procedure
from sparehand.job.fasteners import Fastenings, hand_tight, removed
from sparehand.job.progress import Progress, answered
from sparehand.procedures.model import Procedure
from sparehand.procedures.plan import FastenerKey, RunPlan


def first_job_begun(_event: e.FirstJobBegun, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """The procedure of the run grows from here on."""
    return replace(progress, grown=plan.procedure)


def phase_opened(event: e.PhaseOpened, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """One phase more."""
    return replace(progress, grown=growing_procedure.with_phase(plan.procedure, event.number), naming=None)


def step_opened(event: e.StepOpened, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """One step more in the present phase."""
    grown = growing_procedure.with_step(plan.procedure, progress.at.at.phase, event.number)
    return replace(progress, grown=grown, naming=None)


def fastener_named(event: e.FastenerNamed, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """One fastener more; what happens to it is asked first."""
    grown = growing_procedure.with_fastener(plan.procedure, event.number)
    return replace(progress, grown=grown, naming=growing_procedure.Naming(event.number, "doing"))


def fastener_told(event: e.FastenerTold, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """One answer about a fastener; the next question follows."""
    grown = growing_procedure.with_answer(plan.procedure, event)
    phase = grown.phase(event.at.at.phase)
    step = next(step for step in phase.steps if step.id == event.at.step)
    again = event.asked == "doing" and progress.naming != growing_procedure.Naming(event.number, "doing")
    following = growing_procedure.to_ask(grown, event.number, step, "size" if again else event.asked)
    naming = growing_procedure.Naming(event.number, following) if following else None
    progress = answered(progress, growing_procedure.about(growing_procedure.Naming(event.number, event.asked)))
    return replace(progress, grown=grown, naming=naming, fastenings=_as_long(progress.fastenings, event, grown))


def name_kept(event: e.NameKept, progress: Progress, _at: Moment, plan: RunPlan) -> Progress:
    """A phase, step or fastener has its name."""
    if progress.grown is None:
        return progress
    return replace(
        progress, grown=growing_procedure.with_name(plan.procedure, event.of, event.at, event.number, event.words)
    )


def _as_long(fastenings: Fastenings, event: e.FastenerTold, grown: Procedure) -> Fastenings:
    """What is tightened is in; and what gets its tightening only now has all stages of that before it."""
    key = FastenerKey(growing_procedure.fastener_id(event.number))
    if key in fastenings and event.does == "is tightened" and not fastenings[key].fitted:
        return {**fastenings, key: hand_tight(grown.fastener(key.fastener), fastenings[key])}
    if event.torque is None or key not in fastenings:
        return fastenings
    fastener, before = grown.fastener(key.fastener), fastenings[key]
    return {**fastenings, key: (hand_tight if before.fitted else removed)(fastener, before)}
