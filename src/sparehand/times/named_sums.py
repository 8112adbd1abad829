"""The normal equations of plain jobs as sums over named effects: what a log keeps instead of the times themselves.

Unlike totals by signature they do not grow with the number of people, conditions and repetitions met together: one
small triangle a procedure and number of phases, whatever the number of jobs. Standard library only, so that closing a
job on the bench stays light.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from sparehand.times.signature import Entry, Signature

ALL, LIGHT, HEAVY, STANDS, SECOND, LEARNING = "all", "light", "heavy", "stands", "second", "learning"
PHASE, PERSON = "phase ", "person "
"""Effects named with what they are of."""


@dataclass
class NamedSums:
    """Sums over jobs that have the same number of phases.

    With X a job's rows over the named effects, y its log seconds, s = X'1 and t = 1'y: the sums of X'X and ss' (lower
    triangles), X'y and s·t, y'y and t². `names` grow as people and phases are met.
    """

    names: list[str] = field(default_factory=list)
    jobs: int = 0
    within: list[list[float]] = field(default_factory=list)
    between: list[list[float]] = field(default_factory=list)
    within_y: list[float] = field(default_factory=list)
    between_y: list[float] = field(default_factory=list)
    squares: float = 0.0
    squared_totals: float = 0.0

    def add(
        self, signature: Signature, jobs: int, sums: Sequence[float], squares: float, squared_totals: float
    ) -> None:
        """Add jobs of one signature: their number, the sums of their logs by entry, and of squared logs and totals."""
        rows = [
            [(self._place(name), value) for name, value in effects_of(signature, entry)] for entry in signature.entries
        ]
        column: dict[int, float] = {}
        for row, total in zip(rows, sums, strict=True):
            for place, value in row:
                column[place] = column.get(place, 0.0) + value
                self.within_y[place] += value * total
            _add_square(self.within, row, jobs)
        _add_square(self.between, list(column.items()), jobs)
        whole = sum(sums)
        for place, value in column.items():
            self.between_y[place] += value * whole
        self.jobs += jobs
        self.squares += squares
        self.squared_totals += squared_totals

    @property
    def phases(self) -> list[str]:
        """The phases met."""
        return [name.removeprefix(PHASE) for name in self.names if name.startswith(PHASE)]

    @property
    def people(self) -> list[str]:
        """The technicians met."""
        return [name.removeprefix(PERSON) for name in self.names if name.startswith(PERSON)]

    def _place(self, name: str) -> int:
        if name not in self.names:
            self.names.append(name)
            for triangle in (self.within, self.between):
                triangle.append([0.0] * len(self.names))
            self.within_y.append(0.0)
            self.between_y.append(0.0)
        return self.names.index(name)


def effects_of(signature: Signature, entry: Entry) -> Iterator[tuple[str, float]]:
    """The effects that one entry has, with their coefficients; `labour.layout` says what they stand for."""
    yield ALL, 1.0
    if signature.corrosion in (LIGHT, HEAVY):
        yield signature.corrosion, 1.0
    if signature.support == STANDS:
        yield STANDS, 1.0
    if signature.doublings:
        yield LEARNING, signature.doublings
    if entry.second:
        yield SECOND, 1.0
    yield PHASE + entry.phase, 1.0
    yield PERSON + entry.technician, 1.0


def _add_square(triangle: list[list[float]], row: Sequence[tuple[int, float]], jobs: int) -> None:
    for first, value in row:
        for second, other in row:
            if second <= first:
                triangle[first][second] += jobs * value * other
