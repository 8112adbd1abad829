"""The name of a phase within a run."""

from __future__ import annotations

from dataclasses import dataclass

from sparehand.procedures.model import Side


@dataclass(frozen=True, order=True)
class PhaseKey:
    """A phase on a side (`side` is None where the phase does not repeat)."""

    phase: str
    side: Side | None = None

    def __str__(self) -> str:
        return f"{self.phase}/{self.side}" if self.side else self.phase


def joined_id(procedure: str, id: str) -> str:
    """What a thing of a joined procedure is called in the run: no id of a file has a full stop."""
    return f"{procedure}.{id}"


def joined_key(procedure: str, key: PhaseKey) -> PhaseKey:
    """The same phase of a joined procedure as the run has it."""
    return PhaseKey(joined_id(procedure, key.phase), key.side)


def parted_id(id: str) -> tuple[str, str]:
    """The procedure and its own id, of an id in a run; the procedure is empty for the one that was opened."""
    procedure, _, own = id.rpartition(".")
    return procedure, own
