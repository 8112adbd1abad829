"""Before a job begins: what is chosen."""

from __future__ import annotations

from dataclasses import dataclass

from sparehand.procedures.model import Side


@dataclass(frozen=True)
class ChooseOperation:
    """At the opening: add an operation of the procedure to the job, by its id."""

    operation: str


@dataclass(frozen=True)
class ChooseSides:
    """At the opening: the sides to work on."""

    sides: tuple[Side, ...]


@dataclass(frozen=True)
class Begin:
    """At the opening: everything is chosen, the job begins."""


OpeningCommand = ChooseOperation | ChooseSides | Begin
