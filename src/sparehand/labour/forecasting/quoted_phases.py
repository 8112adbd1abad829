"""Which phases a quote needs, each once: from the procedure, or from imported times where there is no file."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from sparehand.ground.errors import InputError
from sparehand.labour.evidence.shop_evidence import Evidence, Shape
from sparehand.procedures.model import Procedure, Side
from sparehand.procedures.plan import PhaseKey, plan_run

USUAL_SHARE = 0.5
"""Without a file, a phase belongs to an operation if at least this share of its jobs had it."""


@dataclass(frozen=True)
class Need:
    """A phase of the run, and how many of the chosen operations need it."""

    key: PhaseKey
    second: bool
    wanted_by: int


@dataclass(frozen=True)
class Run:
    """What is to be quoted. `others` are the operations not chosen, with the phases each would add."""

    operations: tuple[str, ...]
    sides: tuple[Side, ...]
    needs: tuple[Need, ...]
    others: tuple[tuple[str, tuple[Need, ...]], ...]


def run_from_procedure(procedure: Procedure, operations: Sequence[str], sides: Sequence[Side]) -> Run:
    """The run of a known procedure, with every way past its phases.

    Raises InputError for an operation or side it does not have.
    """
    plan = plan_run(procedure, operations, sides, ways=None)
    by_operation = {
        operation.id: {planned.key for planned in plan_run(procedure, [operation.id], plan.sides, ways=None).phases}
        for operation in procedure.operations
    }
    keys = tuple(planned.key for planned in plan.phases)
    whole = [operation for operation in by_operation if operation not in plan.operations]
    others = []
    for other in whole:
        together = plan_run(procedure, [*plan.operations, other], plan.sides, ways=None)
        added = [planned.key for planned in together.phases if planned.key not in keys]
        others.append((other, _needs(added, {other: by_operation[other]}, keys)))
    chosen = {operation: by_operation[operation] for operation in plan.operations}
    return Run(plan.operations, plan.sides, _needs(keys, chosen), tuple(others))


def run_from_times(procedure: str, operations: Sequence[str], sides: Sequence[Side], evidence: Evidence) -> Run:
    """The run of a procedure known only from times. Raises InputError where the times cannot tell what it needs."""
    own = evidence.shapes_of(procedure)
    if not own:
        raise InputError(
            f"'{procedure}' has neither a procedure file nor times: import times or name another procedure"
        )
    known = tuple(dict.fromkeys(operation for shape in own for operation in shape.operations))
    chosen = tuple(dict.fromkeys(operations)) or known
    sided = [key for key in _keys(own) if key.side]
    seen = tuple(dict.fromkeys(key.side for key in sided if key.side))
    on = tuple(dict.fromkeys(sides)) or seen
    _refuse_unseen(procedure, "operation", chosen, known)
    _refuse_unseen(procedure, "side", on, seen)
    repeats = {key.phase for key in sided}
    phases = {operation: _usual_phases(operation, own) for operation in known} or {"": _phases(own)}
    by_operation = {operation: _spread(some, repeats, on) for operation, some in phases.items()}
    chosen_phases = {operation: by_operation[operation] for operation in chosen or ("",)}
    keys = tuple(dict.fromkeys(key for some in chosen_phases.values() for key in some))
    others = []
    for other in (operation for operation in known if operation not in chosen):
        added = [key for key in by_operation[other] if key not in keys]
        others.append((other, _needs(added, {other: set(by_operation[other])}, keys)))
    wanted = {operation: set(some) for operation, some in chosen_phases.items()}
    return Run(chosen, on, _needs(keys, wanted), tuple(others))


def _refuse_unseen(procedure: str, what: str, asked: Iterable[str], known: Sequence[str]) -> None:
    for name in asked:
        if name not in known:
            raise InputError(f"no times of '{procedure}' name {what} '{name}'; they name: {', '.join(known) or 'none'}")


def _needs(
    keys: Iterable[PhaseKey], wanted: dict[str, set[PhaseKey]], before: Iterable[PhaseKey] = ()
) -> tuple[Need, ...]:
    seen = {key.phase for key in before}
    needs = []
    for key in keys:
        needs.append(Need(key, key.phase in seen, sum(key in some for some in wanted.values())))
        seen.add(key.phase)
    return tuple(needs)


def _keys(shapes: Iterable[Shape]) -> tuple[PhaseKey, ...]:
    return tuple(dict.fromkeys(key for shape in shapes for key, _ in shape.phases))


def _phases(shapes: Iterable[Shape]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(key.phase for key in _keys(shapes)))


def _usual_phases(operation: str, shapes: Mapping[Shape, int]) -> tuple[str, ...]:
    """The phases most jobs of the operation had; jobs of it alone tell best."""
    having = {shape: count for shape, count in shapes.items() if operation in shape.operations}
    alone = {shape: count for shape, count in having.items() if shape.operations == (operation,)}
    some = alone or having
    counts = {
        phase: sum(count for shape, count in some.items() if any(key.phase == phase for key, _ in shape.phases))
        for phase in _phases(some)
    }
    return tuple(phase for phase, count in counts.items() if count >= USUAL_SHARE * sum(some.values()))


def _spread(phases: Sequence[str], sided: set[str], sides: Sequence[Side]) -> list[PhaseKey]:
    return [PhaseKey(phase, side) for phase in phases for side in (sides if phase in sided and sides else (None,))]
