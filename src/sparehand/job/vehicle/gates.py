"""What a gate is about, and what of it the record lacks."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.job.fasteners import is_final, state_of
from sparehand.job.state import JobState
from sparehand.job.vehicle.contradiction import Contradiction, at_step
from sparehand.job.vehicle.naming import be, pieces, sentence, with_side
from sparehand.job.vehicle.put_back import StepField, step_that
from sparehand.procedures.model import Side
from sparehand.procedures.plan import FastenerKey


def open_gates(state: JobState) -> tuple[str, ...]:
    """The ids of the gates of this run that are not passed, or whose matter has changed since."""
    wanted = dict.fromkeys(
        step.passes_gate for planned in state.plan.phases for step in planned.phase.steps if step.passes_gate
    )
    return tuple(id for id in wanted if id not in state.progress.gates or next(lacking(state, id), None))


def lacking(state: JobState, gate: str, released: tuple[str, ...] = ()) -> Iterator[Contradiction]:
    """What is not in order for a gate; `released` is what the present step releases."""
    procedure = state.plan.procedure
    about = procedure.gate(gate).about
    yield from _not_final(state, about)
    for id, side in state.progress.off:
        if id in about:
            name = with_side(procedure.component(id).name, side)
            yield Contradiction(f"The {name} is off.", "Put it on first.", _to(state, "puts_on", id, side))
    for condition in procedure.conditions:
        if condition.id in about and not any(id == condition.id for id, _ in state.progress.conditions):
            yield Contradiction(f"Not so by the record: {condition.name}.", "Say so first.", condition.sayings[0])
    for words, side in state.progress.hanging:
        if words in about and words not in released:
            name = with_side(words, side).rstrip(",")
            yield Contradiction(f"Still so: {name}.", "Release it first.", _to(state, "releases", words, side))


def _not_final(state: JobState, about: tuple[str, ...]) -> Iterator[Contradiction]:
    """The fasteners that the run tightens, or that were touched, and that are not final."""
    procedure = state.plan.procedure
    planned = [FastenerKey(id, key.at.side) for key in state.plan.steps for id in state.plan.step(key).tightens]
    for key in dict.fromkeys((*planned, *state.progress.fastenings)):
        if key.fastener not in about:
            continue
        fastener, fastening = procedure.fastener(key.fastener), state.progress.fastenings.get(key)
        if fastening is None or not is_final(fastener, fastening):
            known = state_of(fastener, fastening) if fastening else "not tightened on this job"
            against = sentence(f"{pieces(procedure, key)} {be(fastener.quantity)} not final: {known}.")
            yield Contradiction(against, "", _to(state, "tightens", key.fastener, key.side))


def _to(state: JobState, field: StepField, id: str, side: Side | None) -> str:
    return at_step(state, step_that(state, field, id, side))
