"""The operations of an estimate, procedure by procedure, with the access that they share once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from sparehand.desk.run_options import asked_procedure, asked_sides
from sparehand.ground.errors import InputError
from sparehand.job.visit_lines import follow_ups_brought
from sparehand.log.sqlite import SqliteEventStore
from sparehand.procedures.kit import kit
from sparehand.procedures.model import Procedure
from sparehand.procedures.phase_order import phases_of
from sparehand.procedures.plan import plan_run
from sparehand.visit.estimate import PartNeed


@dataclass(frozen=True)
class Piece:
    """The operations of one procedure on the sheet; `file` lacks the phases that an earlier piece has done."""

    name: str
    operations: tuple[str, ...]
    file: Procedure | None
    whole: Procedure | None
    shared: frozenset[str]

    def has_work(self, operations: Sequence[str]) -> bool:
        """Whether these operations need anything that an earlier piece has not done."""
        return self.file is None or any(self.file.operation(operation).phases for operation in operations)

    def title(self, operation: str) -> str:
        """An operation in plain words."""
        return self.whole.operation(operation).title if self.whole else operation

    @property
    def follow_ups(self) -> tuple[str, ...]:
        """What the work brings after it."""
        if self.whole is None:
            return ()
        sure = {entry.id for entry in follow_ups_brought(plan_run(self.whole, self.operations), {})}
        phases = phases_of(self.whole, self.operations)
        ways = [way for phase in self.whole.phases if phase.id in phases for way in phase.ways]
        by_way = {id: way.title for way in ways for id in way.follow_ups if id not in sure}
        texts = {entry.id: entry.text for entry in self.whole.follow_ups}
        return (
            *(text for id, text in texts.items() if id in sure),
            *(f"{text} (only by this way: {by_way[id]})" for id, text in texts.items() if id in by_way),
        )

    def parts(self, sides: str) -> tuple[PartNeed, ...]:
        """The parts of a run on those of the `sides` that the procedure has."""
        if self.whole is None:
            return ()
        on = tuple(side for side in asked_sides(sides) if side in self.whole.sides)
        return tuple(
            PartNeed(self.name, one.item.id, one.label.partition(" ")[2], one.quantity, one.item.number)
            for one in kit(plan_run(self.whole, self.operations, on)).parts
        )


def pieces_of(work: str, store: SqliteEventStore, folder: Path) -> tuple[Piece, ...]:
    """The procedures of PROCEDURE[:OPERATION],… in their order, each with its operations.

    Procedures share a phase of the same id and title that is not done side by side, such as raising the vehicle: a
    sided one may be about another axle. Raises InputError for work that is none.
    """
    wanted: dict[str, list[str]] = {}
    for item in work.split(","):
        name, colon, operation = item.strip().partition(":")
        if not name or (colon and not operation):
            raise InputError(f"'{item}' is no work; write PROCEDURE or PROCEDURE:OPERATION, separated by commas")
        wanted.setdefault(name, []).extend([operation] if colon else [])
    pieces: list[Piece] = []
    done: set[tuple[str, str]] = set()
    for name, operations in wanted.items():
        whole = asked_procedure(name, store, folder)
        if whole is None and not operations:
            raise InputError(f"{name} has no procedure file, only times; name its operations, as {name}:OPERATION")
        if whole is None:
            pieces.append(Piece(name, tuple(operations), None, None, frozenset()))
            continue
        chosen = plan_run(whole, operations).operations
        needed = {phase for operation in chosen for phase in whole.operation(operation).phases}
        once = {(phase.id, phase.title) for phase in whole.phases if phase.id in needed and not phase.sided}
        shared = frozenset(id for id, _ in once & done)
        pieces.append(Piece(whole.id, chosen, _without(whole, shared), whole, shared))
        done |= once
    return tuple(pieces)


def _without(procedure: Procedure, phases: frozenset[str]) -> Procedure:
    """The procedure as if those phases were done already."""
    operations = tuple(
        operation.model_copy(update={"phases": tuple(phase for phase in operation.phases if phase not in phases)})
        for operation in procedure.operations
    )
    left = tuple(phase for phase in procedure.phases if phase.id not in phases)
    return procedure.model_copy(update={"operations": operations, "phases": left})


def each_operation(pieces: Sequence[Piece]) -> list[tuple[Piece, str]]:
    """Each operation with its piece, in the order of the sheet."""
    return [(piece, operation) for piece in pieces for operation in piece.operations]
