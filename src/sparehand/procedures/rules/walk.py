"""A procedure read as it would be worked: each operation's steps in order, with their place in the file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import islice

from sparehand.procedures.findings import CheckFinding, FindingName, Severity
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.model import Fastener, Operation, Phase, Step
from sparehand.procedures.phase_order import combinations, in_order
from sparehand.procedures.yaml_text import Keys

MOST_COMBINATIONS = 64
"""So many combinations of ways are followed for each operation."""


@dataclass(frozen=True)
class Visit:
    """A step in its phase, and the keys under which the file has it."""

    phase: Phase
    step: Step
    keys: Keys

    def names(self, *fields: str) -> Iterator[tuple[Keys, str]]:
        """The ids in those list fields of the step, each with its keys."""
        for field in fields:
            for number, id in enumerate(getattr(self.step, field)):
                yield (*self.keys, field, number), id


def all_steps(loaded: LoadedProcedure) -> Iterator[Visit]:
    """Every step of the file in order."""
    for phase_number, phase in enumerate(loaded.procedure.phases):
        for step_number, step in enumerate(phase.steps):
            yield Visit(phase, step, ("phases", phase_number, "steps", step_number))


def journeys(loaded: LoadedProcedure) -> Iterator[tuple[Operation, tuple[Visit, ...]]]:
    """Each operation done alone, once for each combination of its ways, with its steps in working order."""
    procedure = loaded.procedure
    places = {phase.id: place for place, phase in enumerate(in_order(procedure.phases))}
    visits = sorted(all_steps(loaded), key=lambda visit: places[visit.phase.id])
    for operation in procedure.operations:
        for phases in islice(combinations(procedure, operation.id), MOST_COMBINATIONS):
            yield operation, tuple(visit for visit in visits if visit.phase.id in phases)


def made_final(visit: Visit, fastener: Fastener) -> bool:
    """Whether a step that tightens it goes on to its last stage."""
    return len(fastener.tightening) == 1 if visit.step.snug_only else bool(fastener.tightening)


def finding(
    loaded: LoadedProcedure, keys: Keys, name: FindingName, severity: Severity, message: str, remedy: str
) -> CheckFinding:
    """A finding at the place that `keys` have in the file."""
    line, column = loaded.position(*keys)
    return CheckFinding(line, column, name, severity, message, remedy)
