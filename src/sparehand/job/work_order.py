"""Which step comes next, now that sides and phases may interleave: each side has its own place in the run."""

from __future__ import annotations

from sparehand.job.state import JobState
from sparehand.procedures.model import Side
from sparehand.procedures.plan import PhaseKey, PlannedPhase, StepKey


def following(state: JobState, key: StepKey | None = None) -> StepKey | None:
    """The step after `key`, by default after the present one.

    Where a side ends, it is the place of a side that is still open, and a side that is done is not gone through again.
    """
    here, steps = key or state.progress.at, state.plan.steps
    after = state.plan.after(here)
    if here.at.side is None or (after is not None and after.at.side == here.at.side):
        return after
    behind = steps[steps.index(here) + 1 :]
    shared = next((key for key in behind if key.at.side is None), None)
    stretch = steps[: steps.index(shared)] if shared else steps
    for side in _others(state):
        if any(_open(state, key) for key in stretch if key.at.side == side):
            return place_on(state, side) or after
    return shared if after is None or state.progress.places else after


def place_on(state: JobState, side: Side) -> StepKey | None:
    """Where the work goes on at a side: where it was left, or the first open step there that waits for no phase.

    A side does not run ahead of a step that all sides share.
    """
    steps = state.plan.steps
    shared = (key for key in steps if key.at.side is None and key.at != state.progress.at.at and _open(state, key))
    within = steps[: steps.index(next(shared, steps[-1])) + 1]
    ready = [key for key in within if key.at.side == side and _open(state, key) and comes_first(state, key.at) is None]
    left_at = state.progress.places.get(side)
    start = steps.index(left_at) if left_at in steps else 0
    return next((key for key in ready if steps.index(key) >= start), next(iter(ready), None))


def place_elsewhere(state: JobState) -> StepKey | None:
    """Where the work could go on at another side, the next one first."""
    others = _others(state) if len(state.plan.sides) > 1 else ()
    return next((place for side in others if (place := place_on(state, side))), None)


def comes_first(state: JobState, key: PhaseKey) -> PlannedPhase | None:
    """A phase that the file wants done before this one, on its side or on all, and that is not; None where none is."""
    wanted = state.plan.phase(key).phase.after
    for planned in state.plan.phases:
        same_side = key.side in (None, planned.key.side) or planned.key.side is None
        if planned.key.phase in wanted and same_side and not state.phase_complete(planned):
            return planned
    return None


def _others(state: JobState) -> tuple[Side, ...]:
    """The other sides, beginning behind the present one."""
    sides = state.plan.sides
    place = sides.index(state.side) + 1 if state.side in sides else 0
    return tuple(side for side in (*sides[place:], *sides[:place]) if side != state.side)


def _open(state: JobState, key: StepKey) -> bool:
    return key not in state.progress.done and key not in state.progress.skipped
