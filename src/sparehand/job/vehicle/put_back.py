"""What the procedure puts back, and where: what must be back before a step, and by which step a thing comes back."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from sparehand.job.state import JobState
from sparehand.procedures.model import Side
from sparehand.procedures.plan import FastenerKey, StepKey

StepField = Literal["fits", "removes", "tightens", "takes_off", "puts_on", "releases", "makes_mark"]
"""The fields of a step that name what it does something to."""


def fasteners_out(state: JobState) -> tuple[FastenerKey, ...]:
    """Every fastener of which some piece is out, in the order in which they were touched."""
    return tuple(key for key, fastening in state.progress.fastenings.items() if not fastening.fitted)


def step_that(state: JobState, field: StepField, id: str, side: Side | None) -> StepKey | None:
    """The last step on a side that names `id`; None where the file is silent."""
    return next((key for key in reversed(state.plan.steps) if _is_of(state, key, field, id, side)), None)


def back_before(state: JobState, field: StepField, id: str, side: Side | None, before: StepKey) -> bool:
    """Whether the procedure puts a thing back before a step: a step that comes first names it."""
    first = state.plan.steps[: state.plan.steps.index(before)]
    return any(_is_of(state, key, field, id, side) for key in first)


def establishing(state: JobState, condition: str) -> StepKey | None:
    """The step that establishes a condition: the first that is not done, else the first of all."""
    keys = [key for key in state.plan.steps if state.plan.step(key).establishes == condition]
    return next((key for key in keys if key not in state.progress.done), keys[0] if keys else None)


def marked_fasteners(state: JobState, mark: str, side: Side | None) -> Iterator[FastenerKey]:
    """The fasteners that a mark is for: those put in or tightened where it is found again."""
    for key in state.plan.steps:
        step = state.plan.step(key)
        if step.finds_mark == mark and key.at.side == side:
            yield from (FastenerKey(id, side) for id in dict.fromkeys((*step.fits, *step.tightens)))


def holding(state: JobState, component: str, side: Side | None) -> tuple[FastenerKey, ...]:
    """The fasteners that hold a component on a side."""
    return tuple(FastenerKey(id, side) for id in state.plan.procedure.component(component).held_by)


def _is_of(state: JobState, key: StepKey, field: StepField, id: str, side: Side | None) -> bool:
    return key.at.side in (side, None) and id in _named(state, key, field)


def _named(state: JobState, key: StepKey, field: StepField) -> tuple[str, ...]:
    named: tuple[str, ...] | str | None = getattr(state.plan.step(key), field)
    return named if isinstance(named, tuple) else (named,) if named else ()
