"""Choosing the work before a job begins: operations, sides, and the word to start. Pure, like the job itself."""

from __future__ import annotations

from dataclasses import dataclass, replace

from sparehand.ground.plurals import how_many
from sparehand.job import commands as c
from sparehand.job.answer import Answer, plain
from sparehand.procedures.model import Procedure, Side
from sparehand.procedures.plan import plan_run


@dataclass(frozen=True)
class Opening:
    """What is chosen so far; `begun` once the technician has said to start."""

    procedure: Procedure
    operations: tuple[str, ...] = ()
    sides: tuple[Side, ...] = ()
    begun: bool = False


def choose(opening: Opening, command: c.Command) -> Opening:
    """The opening after a command; commands that choose nothing leave it as it is."""
    match command:
        case c.ChooseOperation(operation=operation):
            return replace(opening, operations=tuple(dict.fromkeys((*opening.operations, operation))))
        case c.ChooseSides(sides=sides):
            known = tuple(side for side in sides if side in opening.procedure.sides)
            return replace(opening, sides=known or opening.sides)
        case c.Undo() | c.GoBack() | c.Refuse():
            return replace(opening, operations=opening.operations[:-1])
        case c.Begin() if _ready(opening):
            return replace(opening, begun=True)
        case _:
            return opening


def opening_answer(opening: Opening, command: c.Command | None = None) -> Answer:
    """What to say at the opening: the choice as it stands, and what is missing."""
    if opening.begun:
        return Answer(tone="heard")
    missing = _missing(opening)
    chosen = _chosen(opening)
    if command is None:
        return Answer((plain(f"{opening.procedure.title}."), plain(missing)))
    if isinstance(command, c.ChooseSides) and not set(command.sides) <= set(opening.procedure.sides):
        has = " and ".join(opening.procedure.sides) or "no sides"
        return Answer((plain(f"This procedure has {has}."), plain(missing)), tone="refused")
    if isinstance(command, c.Begin):
        return Answer((plain(missing),), tone="refused")
    return Answer((plain(chosen), plain(missing)), tone="heard")


def _ready(opening: Opening) -> bool:
    return bool(opening.operations) and (bool(opening.sides) or not opening.procedure.sides)


def _missing(opening: Opening) -> str:
    if not opening.operations:
        names = " or ".join(_spoken_names(opening.procedure))
        return f"Say which operation: do {names}."
    if opening.procedure.sides and not opening.sides:
        return f"Say which side: {' or '.join(opening.procedure.sides)}."
    return "Say start the job."


def _spoken_names(procedure: Procedure) -> tuple[str, ...]:
    return tuple(operation.spoken[0] if operation.spoken else operation.title for operation in procedure.operations)


def _chosen(opening: Opening) -> str:
    if not opening.operations:
        return "Nothing is chosen."
    titles = " and ".join(opening.procedure.operation(id).title for id in opening.operations)
    sides = f", {' and '.join(opening.sides)}" if opening.sides else ""
    return f"{titles}{sides}.{_shared(opening)}"


def _shared(opening: Opening) -> str:
    """How many phases the chosen operations share, in words."""
    if len(opening.operations) < 2:
        return ""
    together = {phase.phase.id for phase in plan_run(opening.procedure, opening.operations).phases}
    apart = sum(len(opening.procedure.operation(id).phases) for id in opening.operations)
    saved = apart - len(together)
    if not saved:
        return ""
    return f" They share {how_many(saved, 'phase')}, done once." if saved > 1 else " They share one phase, done once."
