"""What keeps the vehicle from being driven, as far as the record knows, and which kinds of step are not done."""

from __future__ import annotations

from typing import Literal

from sparehand.job.state import JobState
from sparehand.job.vehicle.gates import open_gates
from sparehand.job.vehicle.naming import with_side
from sparehand.procedures import wording
from sparehand.procedures.labels import fluid_name
from sparehand.procedures.model import Step
from sparehand.procedures.plan import StepKey

StepKind = Literal["refit", "lower", "tighten", "check", "other"]
"""What a step does for the vehicle to be whole again; `other` is everything else."""

_MUST: tuple[StepKind, ...] = ("refit", "lower", "tighten", "check")


def kind_of(step: Step) -> StepKind:
    """What a step is for, the weightiest first."""
    if step.passes_gate:
        return "check"
    if step.tightens:
        return "tighten"
    if step.lowers or step.establishes:
        return "lower"
    return "refit" if step.fits or step.puts_on or step.releases or step.fills else "other"


def begun(state: JobState) -> bool:
    """Whether anything was recorded as done to the vehicle."""
    return bool(state.progress.done or state.progress.fastenings)


def not_done(state: JobState) -> tuple[StepKey, ...]:
    """The steps of the run that are not done, in order."""
    return tuple(key for key in state.plan.steps if key not in state.progress.done)


def undone_kinds(state: JobState) -> str:
    """How many steps of each kind that must not be left are not done: "two to refit, one to check"; else empty."""
    if not begun(state):
        return ""
    kinds = [kind_of(state.plan.step(key)) for key in not_done(state)]
    return ", ".join(f"{wording.number_spoken(kinds.count(kind))} to {kind}" for kind in _MUST if kind in kinds)


def brings_down(state: JobState) -> bool:
    """Whether this step lowers the vehicle, by its word or as the first on the way to a condition on the wheels."""
    steps = state.phase.phase.steps
    if state.step.lowers or any(step.lowers for step in steps):
        return state.step.lowers is not None
    on_wheels = state.plan.procedure.holding_on_wheels
    return steps[0] == state.step and any(step.establishes in on_wheels for step in steps)


def drive_blockers(state: JobState) -> tuple[str, ...]:
    """One sentence for each thing that the record knows against driving; none states no safety."""
    return (*(_loose(state)), *apart(state), *_raised(state), *_gates(state), *_undone(state))


def apart(state: JobState) -> tuple[str, ...]:
    """What is off, hangs, is supported or is drained, beside the loose list."""
    procedure = state.plan.procedure
    off = (f"The {with_side(procedure.component(id).name, side)} is off." for id, side in state.progress.off)
    hanging = (f"Hanging or supported: {with_side(words, side).rstrip(',')}." for words, side in state.progress.hanging)
    fluids = {item.id: fluid_name(item) for item in procedure.consumables}
    drained = (f"Drained, not filled again: {fluids.get(id, id)}." for id in state.progress.drained)
    return (*off, *hanging, *drained)


def _loose(state: JobState) -> tuple[str, ...]:
    return tuple(
        f"{with_side(entry.fastener.name, entry.key.side)} is not final: {entry.state}." for entry in state.loose
    )


def _raised(state: JobState) -> tuple[str, ...]:
    return ("The vehicle is raised.",) if any(state.progress.raised.values()) else ()


def _gates(state: JobState) -> tuple[str, ...]:
    gates = open_gates(state) if begun(state) else ()
    return tuple(f"Not checked: {state.plan.procedure.gate(id).asks}" for id in gates)


def _undone(state: JobState) -> tuple[str, ...]:
    kinds = undone_kinds(state)
    return (f"Steps not done: {kinds}.",) if kinds else ()
