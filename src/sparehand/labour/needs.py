"""Which phases a quote needs, each once: from the procedure, or from imported times where there is no file."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sparehand.errors import InputError
from sparehand.labour.sample import SampleJob
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
    """The run of a known procedure. Raises InputError for an operation or side it does not have."""
    plan = plan_run(procedure, operations, sides)
    by_operation = {
        operation.id: {planned.key for planned in plan_run(procedure, [operation.id], plan.sides).phases}
        for operation in procedure.operations
    }
    keys = tuple(planned.key for planned in plan.phases)
    whole = [operation for operation in by_operation if operation not in plan.operations]
    others = []
    for other in whole:
        together = plan_run(procedure, [*plan.operations, other], plan.sides)
        added = [planned.key for planned in together.phases if planned.key not in keys]
        others.append((other, _needs(added, {other: by_operation[other]}, keys)))
    chosen = {operation: by_operation[operation] for operation in plan.operations}
    return Run(plan.operations, plan.sides, _needs(keys, chosen), tuple(others))


def run_from_jobs(procedure: str, operations: Sequence[str], sides: Sequence[Side], jobs: Sequence[SampleJob]) -> Run:
    """The run of a procedure known only from times. Raises InputError where the times cannot tell what it needs."""
    own = [job for job in jobs if job.procedure == procedure]
    if not own:
        raise InputError(
            f"'{procedure}' has neither a procedure file nor times: import times or name another procedure"
        )
    known = tuple(dict.fromkeys(operation for job in own for operation in job.operations))
    chosen = tuple(dict.fromkeys(operations)) or known
    for operation in chosen:
        if operation not in known:
            raise InputError(f"no times of '{procedure}' name operation '{operation}'; they name: {', '.join(known)}")
    sided = {cell.phase for job in own for cell in job.cells if cell.side}
    seen_sides = tuple(dict.fromkeys(cell.side for job in own for cell in job.cells if cell.side))
    on = tuple(dict.fromkeys(sides)) or seen_sides
    for side in on:
        if side not in seen_sides:
            raise InputError(
                f"no times of '{procedure}' name side '{side}'; they name: {', '.join(seen_sides) or 'none'}"
            )
    by_operation = {operation: _usual_phases(operation, own) for operation in known} if known else {"": _phases(own)}
    chosen_phases = {operation: _spread(by_operation[operation], sided, on) for operation in chosen or ("",)}
    keys = _ordered(chosen_phases.values())
    others = []
    for other in (operation for operation in known if operation not in chosen):
        keys_of_other = _spread(by_operation[other], sided, on)
        added = [key for key in keys_of_other if key not in keys]
        others.append((other, _needs(added, {other: set(keys_of_other)}, keys)))
    wanted = {operation: set(some) for operation, some in chosen_phases.items()}
    return Run(chosen, on, _needs(keys, wanted), tuple(others))


def _needs(
    keys: Iterable[PhaseKey], wanted: dict[str, set[PhaseKey]], before: Iterable[PhaseKey] = ()
) -> tuple[Need, ...]:
    seen = {key.phase for key in before}
    needs = []
    for key in keys:
        needs.append(Need(key, key.phase in seen, sum(key in some for some in wanted.values())))
        seen.add(key.phase)
    return tuple(needs)


def _phases(jobs: Sequence[SampleJob]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(cell.phase for job in jobs for cell in job.cells))


def _usual_phases(operation: str, jobs: Sequence[SampleJob]) -> tuple[str, ...]:
    """The phases most jobs of the operation had; jobs of it alone tell best."""
    alone = [job for job in jobs if job.operations == (operation,)]
    with_it = alone or [job for job in jobs if operation in job.operations]
    counts = Counter(phase for job in with_it for phase in {cell.phase for cell in job.cells})
    return tuple(phase for phase in _phases(with_it) if counts[phase] >= USUAL_SHARE * len(with_it))


def _spread(phases: Sequence[str], sided: set[str], sides: Sequence[Side]) -> list[PhaseKey]:
    return [PhaseKey(phase, side) for phase in phases for side in (sides if phase in sided and sides else (None,))]


def _ordered(groups: Iterable[Sequence[PhaseKey]]) -> tuple[PhaseKey, ...]:
    return tuple(dict.fromkeys(key for group in groups for key in group))
