"""A procedure read as it would be worked: each operation's steps in order, with their place in the file."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sparehand.procedures.findings import CheckFinding, FindingName, Severity
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.model import Operation, Phase, Step
from sparehand.procedures.yaml_text import Keys


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


def steps_of(loaded: LoadedProcedure, operation: Operation) -> tuple[Visit, ...]:
    """The steps of one operation done alone, in working order."""
    return tuple(visit for visit in all_steps(loaded) if visit.phase.id in operation.phases)


def finding(
    loaded: LoadedProcedure, keys: Keys, name: FindingName, severity: Severity, message: str, remedy: str
) -> CheckFinding:
    """A finding at the place that `keys` have in the file."""
    line, column = loaded.position(*keys)
    return CheckFinding(line, column, name, severity, message, remedy)
