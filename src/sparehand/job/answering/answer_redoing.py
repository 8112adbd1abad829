"""What is said before a finished step is done once more: what comes apart, and what has to be new."""

from __future__ import annotations

from sparehand.job.answer import Line, plain
from sparehand.job.deciding.decide_redoing import to_redo
from sparehand.job.events import Question
from sparehand.job.obligations import name_of
from sparehand.job.state import JobState
from sparehand.procedures import wording


def asks_to_redo(state: JobState, asked: Question) -> tuple[Line, ...]:
    """The question, with the use-once parts that would be used up."""
    keys = to_redo(state, asked.about)
    head = "Do this step again?" if asked.about == "step" else "Do this phase again?"
    names = dict.fromkeys(name for key in keys for name in _used_up(state, key.step))
    new = (plain(f"Must be new once more: {wording.listed(tuple(names))}."),) if names else ()
    return (plain(head), *new)


def _used_up(state: JobState, step_id: str) -> tuple[str, ...]:
    procedure = state.plan.procedure
    step = next(step for step in state.phase.phase.steps if step.id == step_id)
    use_once = {part.id for part in procedure.parts if part.use_once}
    use_once |= {fastener.id for fastener in procedure.fasteners if fastener.use_once}
    touched = dict.fromkeys((*step.renews, *step.fits, *step.tightens))
    return tuple(name_of(procedure, id) for id in touched if id in use_once)
