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
