"""The faults found during a job: what each is called, and the work that it proposes."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sparehand.job import events as e
from sparehand.procedures.model import Fastener, Item, Phase, Procedure
from sparehand.procedures.phase_order import phases_of
from sparehand.procedures.spoken_names import plain_words
from sparehand.procedures.vehicle import Component

_LINE = "finding "
"""What comes before the number of a finding where work is named by it: no id of an operation has a space."""


@dataclass(frozen=True)
class Fault:
    """A finding of the job by its number, with what was measured at it."""

    number: int
    found: e.FaultFound
    measured: e.FaultMeasured | None = None

    @property
    def line(self) -> str:
        """How work is named that this finding proposes and no operation of the file is."""
        return f"{_LINE}{self.number}"


def fault_of(faults: Iterable[Fault], work: str) -> Fault | None:
    """The finding that `work` is named by, if it is."""
    return next((fault for fault in faults if fault.line == work), None)


def thing_name(procedure: Procedure, id: str) -> str:
    """The name of a fastener, part or component; the id where the file has it no more."""
    return next((thing.name for thing in _things(procedure) if thing.id == id), id)


def fault_words(procedure: Procedure, found: e.FaultFound) -> str:
    """A finding in words: "torn hub boot, left"."""
    what = f"{found.fault} {thing_name(procedure, found.thing)}" if found.fault else "found, see its memo"
    return f"{what}, {found.side}" if found.side else what


def operation_for(procedure: Procedure, thing: str, without: Iterable[str]) -> str | None:
    """The first operation beyond those that renews a thing of that id."""
    known = set(without)
    for operation in procedure.operations:
        needed = phases_of(procedure, [operation.id])
        phases = (phase for phase in procedure.phases if phase.id in needed)
        if operation.id not in known and any(_renews(phase, thing) for phase in phases):
            return operation.id
    return None


def things_called(procedure: Procedure, name: str) -> tuple[str, ...]:
    """The ids of the fasteners, parts and components of that name."""
    return tuple(
        dict.fromkeys(thing.id for thing in _things(procedure) if plain_words(thing.name) == plain_words(name))
    )


def _things(procedure: Procedure) -> tuple[Item | Fastener | Component, ...]:
    return (*procedure.parts, *procedure.fasteners, *procedure.components)


def _renews(phase: Phase, thing: str) -> bool:
    return any(thing in step.renews for step in phase.steps)
