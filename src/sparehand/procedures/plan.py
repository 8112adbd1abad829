"""The plan of a run: the phases of the chosen operations, each once, on the chosen sides, in working order."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from types import MappingProxyType

from sparehand.ground.errors import InputError
from sparehand.procedures.model import FollowUp, Phase, Procedure, Side, Step
from sparehand.procedures.phase_key import PhaseKey as PhaseKey
from sparehand.procedures.phase_order import Ways, in_order, is_taken, phases_of


@dataclass(frozen=True)
class StepKey:
    """A step of a phase on a side."""

    at: PhaseKey
    step: str

    def __str__(self) -> str:
        return f"{self.at}:{self.step}"


@dataclass(frozen=True)
class FastenerKey:
    """A fastener on a side."""

    fastener: str
    side: Side | None = None

    def __str__(self) -> str:
        return f"{self.fastener}/{self.side}" if self.side else self.fastener


@dataclass(frozen=True)
class PlannedPhase:
    """One phase of the run; `cut` where an operation was dropped and only some of its steps stay."""

    key: PhaseKey
    phase: Phase
    cut: bool = False

    def step_keys(self) -> tuple[StepKey, ...]:
        """The keys of its steps, in order."""
        return tuple(StepKey(self.key, step.id) for step in self.phase.steps)


@dataclass(frozen=True)
class RunPlan:
    """What will be done in this run, in the default order; the technician may take any other."""

    procedure: Procedure
    operations: tuple[str, ...]
    sides: tuple[Side, ...]
    phases: tuple[PlannedPhase, ...]

    @cached_property
    def steps(self) -> tuple[StepKey, ...]:
        """Every step of the run in order."""
        return tuple(key for planned in self.phases for key in planned.step_keys())

    def step(self, key: StepKey) -> Step:
        """The step of that key. Raises KeyError where the run has none."""
        for step in self.phase(key.at).phase.steps:
            if step.id == key.step:
                return step
        raise KeyError(str(key))

    def phase(self, key: PhaseKey) -> PlannedPhase:
        """The planned phase of that key. Raises KeyError where the run has none."""
        for planned in self.phases:
            if planned.key == key:
                return planned
        raise KeyError(str(key))

    def after(self, key: StepKey) -> StepKey | None:
        """The step after `key` in the default order, or None at the end."""
        place = self.steps.index(key) + 1
        return self.steps[place] if place < len(self.steps) else None

    def before(self, key: StepKey) -> StepKey | None:
        """The step before `key` in the default order, or None at the start."""
        place = self.steps.index(key)
        return self.steps[place - 1] if place else None


def plan_run(
    procedure: Procedure,
    operations: Iterable[str] = (),
    sides: Iterable[Side] = (),
    keeps: Collection[StepKey] = frozenset(),
    ways: Ways | None = MappingProxyType({}),
) -> RunPlan:
    """Merge the phases of `operations` (all of them if none is named), each phase once for each side.

    A phase that comes `after` others stands behind them. Of the ways past a phase the run follows the one in `ways`,
    the first where none is chosen there, and all of them where `ways` is None.

    Neighbouring sided phases form a stretch that is done whole on one side before the next; a phase with `only_sides`
    is done on those alone. `keeps` are steps of
    other operations that stay in the run. An operation may be named as it was called before.
    Raises InputError for an operation or side that the procedure does not have.
    """
    renamed = {before: operation.id for operation in procedure.operations for before in operation.was}
    chosen = tuple(dict.fromkeys(renamed.get(id, id) for id in operations)) or tuple(
        operation.id for operation in procedure.operations
    )
    on = tuple(dict.fromkeys(sides)) or procedure.sides
    _refuse_unknown(procedure, chosen, on)
    wanted = phases_of(procedure, chosen)
    kept = {key.at.phase for key in keeps}
    needed = in_order(phase for phase in procedure.phases if phase.id in wanted | kept and concerns(phase, on))
    planned: list[PlannedPhase] = []
    for sided, group in groupby(needed, key=lambda phase: phase.sided):
        stretch = tuple(group)
        for side in on if sided else (None,):
            for phase in stretch:
                if phase.only_sides and side not in phase.only_sides:
                    continue
                whole = PlannedPhase(PhaseKey(phase.id, side), phase)
                taken = phase.id in wanted and is_taken(procedure, whole.key, ways)
                planned.extend((whole,) if taken else _cut(whole, keeps))
    return RunPlan(procedure, chosen, on, tuple(planned))


def concerns(thing: Phase | FollowUp, sides: Collection[Side]) -> bool:
    """Whether a run on these sides has it."""
    return not thing.if_sides or not set(sides).isdisjoint(thing.if_sides)


def _cut(planned: PlannedPhase, keeps: Collection[StepKey]) -> tuple[PlannedPhase, ...]:
    """The phase with the steps that stay, or nothing where none does."""
    steps = tuple(step for step in planned.phase.steps if StepKey(planned.key, step.id) in keeps)
    return (PlannedPhase(planned.key, planned.phase.model_copy(update={"steps": steps}), cut=True),) if steps else ()


def _refuse_unknown(procedure: Procedure, operations: tuple[str, ...], sides: tuple[Side, ...]) -> None:
    known = [operation.id for operation in procedure.operations]
    for operation in operations:
        if operation not in known:
            raise InputError(f"{procedure.id} has no operation '{operation}'; it has: {', '.join(known)}")
    for side in sides:
        if side not in procedure.sides:
            has = ", ".join(procedure.sides) or "no sides"
            raise InputError(f"{procedure.id} has no side '{side}'; it has: {has}")
