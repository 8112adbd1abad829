"""The sums of jobs that had the same phases: all that the estimates need of them, whatever spread each phase has.

They do not grow with the number of jobs. Standard library only, so that closing a job on the bench stays light.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from sparehand.times.sample import SampleJob
from sparehand.times.time_cells import TimeCell

ALL, LIGHT, HEAVY, UNKNOWN_CORROSION, STANDS, UNKNOWN_SUPPORT, LEARNING = (
    "all",
    "light",
    "heavy",
    "unknown corrosion",
    "stands",
    "unknown support",
    "learning",
)
PERSON, TIME = "person ", "time "
"""Regressors named with what they are of."""
_LEVELS = {"light": LIGHT, "heavy": HEAVY, "unknown": UNKNOWN_CORROSION}
_SUPPORTS = {"stands": STANDS, "unknown": UNKNOWN_SUPPORT}

Pattern = tuple[tuple[str, bool], ...]
"""The phases of a job in alphabetical order, each with whether it was done before on another side of this job."""


@dataclass
class PatternSums:
    """Sums over jobs of one pattern.

    With r a job's regressors (`names`: all, conditions, shares of technicians, span of time) and y its log seconds by
    phase: the lower triangle of the sum of r r', the sum of r y', and the lower triangle of the sum of y y'.
    """

    names: list[str] = field(default_factory=lambda: [ALL])
    regressors: list[list[float]] = field(default_factory=lambda: [[0.0]])
    crossed: list[list[float]] = field(default_factory=list)
    logs: list[list[float]] = field(default_factory=list)
    latest: int = -(10**9)
    """The newest unit of time of any job."""

    @property
    def jobs(self) -> int:
        """The number of jobs."""
        return round(self.regressors[0][0])

    @property
    def people(self) -> list[str]:
        """The technicians met."""
        return [name.removeprefix(PERSON) for name in self.names if name.startswith(PERSON)]

    def count(self, name: str) -> int:
        """In how many jobs a regressor was not zero; for one that is 0 or 1, or a share."""
        return math.ceil(self.regressors[self.names.index(name)][0]) if name in self.names else 0

    def add(self, job: SampleJob, logs: Sequence[float]) -> None:
        """Add a job, its log seconds in the order of its pattern."""
        if not self.crossed:
            self.crossed = [[0.0] * len(logs)]
            self.logs = [[0.0] * (place + 1) for place in range(len(logs))]
        if job.unit > self.latest:
            self.latest = job.unit
            self._merge_old_times()
        row = [(self._place(name), value) for name, value in regressors_of(job, self.latest)]
        for first, value in row:
            for second, other in row:
                if second <= first:
                    self.regressors[first][second] += value * other
            _add_scaled(self.crossed[first], value, logs)
        for place, log in enumerate(logs):
            _add_scaled(self.logs[place], log, logs)

    def _place(self, name: str) -> int:
        if name not in self.names:
            self.names.append(name)
            self.regressors.append([0.0] * len(self.names))
            self.crossed.append([0.0] * len(self.crossed[0]))
        return self.names.index(name)

    def _merge_old_times(self) -> None:
        """Add up the spans of time that are one span by now."""
        for name in [name for name in self.names if name.startswith(TIME)]:
            cell = time_cell(name)
            if cell.at(self.latest) == cell:
                continue
            target = time_name(cell.at(self.latest))
            if target in self.names:
                self._merge(self.names.index(name), self.names.index(target))
            else:
                self.names[self.names.index(name)] = target

    def _merge(self, gone: int, into: int) -> None:
        whole = [[self._product(row, column) for column in range(len(self.names))] for row in range(len(self.names))]
        for row in whole:
            row[into] += row[gone]
        whole[into] = [a + b for a, b in zip(whole[into], whole[gone], strict=True)]
        kept = [place for place in range(len(self.names)) if place != gone]
        self.crossed[into] = [a + b for a, b in zip(self.crossed[into], self.crossed[gone], strict=True)]
        self.regressors = [[whole[row][column] for column in kept[: place + 1]] for place, row in enumerate(kept)]
        self.crossed = [self.crossed[place] for place in kept]
        self.names = [self.names[place] for place in kept]

    def _product(self, row: int, column: int) -> float:
        return self.regressors[max(row, column)][min(row, column)]


def pattern_of(job: SampleJob) -> tuple[Pattern, tuple[int, ...]]:
    """The job's pattern and the order in which its phases stand in it."""
    entries = [(cell.phase, cell.second) for cell in job.cells]
    order = tuple(sorted(range(len(entries)), key=lambda place: entries[place]))
    return tuple(entries[place] for place in order), order


def regressors_of(job: SampleJob, latest: int) -> Iterator[tuple[str, float]]:
    """What all phases of a job share, by name; several technicians count by the share of phases each has led."""
    yield ALL, 1.0
    if job.corrosion in _LEVELS:
        yield _LEVELS[job.corrosion], 1.0
    if job.support in _SUPPORTS:
        yield _SUPPORTS[job.support], 1.0
    if job.doublings:
        yield LEARNING, job.doublings
    for person, count in sorted(Counter(cell.technician for cell in job.cells).items()):
        yield PERSON + person, count / len(job.cells)
    yield time_name(TimeCell(job.unit).at(latest)), 1.0


def time_name(cell: TimeCell) -> str:
    """The name of the regressor of a span of time."""
    return f"{TIME}{cell.start} {cell.length}"


def time_cell(name: str) -> TimeCell:
    """The span of time of such a name."""
    start, length = name.removeprefix(TIME).split()
    return TimeCell(int(start), int(length))


def _add_scaled(sums: list[float], factor: float, values: Sequence[float]) -> None:
    """Add `factor` times each value to the sum at its place, as far as there are sums."""
    for place in range(len(sums)):
        sums[place] += factor * values[place]
