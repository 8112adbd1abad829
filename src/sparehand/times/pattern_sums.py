"""The sums of jobs that had the same phases: all that the estimates need of them, whatever spread each phase has.

They do not grow with the number of jobs. Standard library only, so that closing a job on the bench stays light.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from typing import TYPE_CHECKING, NamedTuple

from sparehand.times.sample import SampleJob
from sparehand.times.time_cells import TimeCell

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

ALL, LIGHT, HEAVY, UNKNOWN_CORROSION, STANDS, UNKNOWN_SUPPORT, LEARNING = (
    "all",
    "light",
    "heavy",
    "unknown corrosion",
    "stands",
    "unknown support",
    "learning",
)
PERSON, OWN_LEARNING, TIME = "person ", "learning of ", "time "
"""Regressors named with what they are of."""
_LEVELS = {"light": LIGHT, "heavy": HEAVY, "unknown": UNKNOWN_CORROSION}
_SUPPORTS = {"stands": STANDS, "unknown": UNKNOWN_SUPPORT}

Pattern = tuple[tuple[str, bool], ...]
"""The phases of a job in alphabetical order, each with whether it was done before on another side of this job."""


class Alike(NamedTuple):
    """What jobs share that have all regressors but time in common."""

    corrosion: str
    support: str
    doublings: float
    technicians: tuple[str, ...]


@dataclass
class PatternSums:
    """Sums over jobs of one pattern.

    With r a job's regressors (`names`: all, conditions, shares of technicians, their doublings, span of time) and y its
    log seconds by phase: the lower triangle of the sum of r r', the sum of r y', and the lower triangle of the sum of
    y y'.
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
        self._begin(len(logs), job.unit)
        row = [(self._place(name), value) for name, value in regressors_of(job, self.latest)]
        for first, value in row:
            for second, other in row:
                if second <= first:
                    self.regressors[first][second] += value * other
            _add_scaled(self.crossed[first], value, logs)
        for place, log in enumerate(logs):
            _add_scaled(self.logs[place], log, logs)

    def add_many(
        self, alike: Sequence[Alike], kinds: NDArray[np.int64], units: NDArray[np.int64], logs: NDArray[np.float64]
    ) -> None:
        """Add many jobs at once, whose log seconds (jobs, phases) are in the order of the pattern.

        `kinds` and `units` (jobs,) give which of `alike` each job is, and its unit of time.
        """
        import numpy as np  # here, for a bench that closes one job does without

        self._begin(logs.shape[1], int(units.max()))
        times, cells = np.unique(units, return_inverse=True)
        some = [list(shared_regressors(job)) for job in alike]
        some += [[(_time_of(int(unit), self.latest), 1.0)] for unit in times]
        places = {name: self._place(name) for name in dict.fromkeys(name for each in some for name, _ in each)}
        table = np.zeros((len(some), len(self.names)))
        for row, each in enumerate(some):
            for name, value in each:
                table[row, places[name]] = value
        regressors = table[kinds] + table[len(alike) + cells]
        for into, first, second in (
            (self.regressors, regressors, regressors),
            (self.crossed, regressors, logs),
            (self.logs, logs, logs),
        ):
            # einsum, for the products are small and a matrix product would keep every core waiting for the others
            _add_rows(into, np.einsum("ij,ik->jk", first, second).tolist())

    def _begin(self, phases: int, unit: int) -> None:
        """Be ready for jobs of so many phases up to a unit of time."""
        if not self.crossed:
            self.crossed = [[0.0] * phases]
            self.logs = [[0.0] * (place + 1) for place in range(phases)]
        if unit > self.latest:
            self.latest = unit
            self._merge_old_times()

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
    return in_pattern([cell.phase for cell in job.cells])


def in_pattern(phases: Sequence[str]) -> tuple[Pattern, tuple[int, ...]]:
    """The pattern of phases, one named again where it was done on another side, and their order in it."""
    entries = [(phase, phase in phases[:place]) for place, phase in enumerate(phases)]
    order = tuple(sorted(range(len(entries)), key=lambda place: entries[place]))
    return tuple(entries[place] for place in order), order


def _add_rows(into: list[list[float]], rows: list[list[float]]) -> None:
    """Add row by row, of each as much as there is."""
    for row, more in zip(into, rows, strict=True):
        row[:] = [a + b for a, b in zip(row, more, strict=False)]


def regressors_of(job: SampleJob, latest: int) -> Iterator[tuple[str, float]]:
    """What all phases of a job share, by name; several technicians count by the share of phases each has led."""
    yield from shared_regressors(Alike(job.corrosion, job.support, job.doublings, job.technicians))
    yield _time_of(job.unit, latest), 1.0


def shared_regressors(job: Alike) -> Iterator[tuple[str, float]]:
    """The same without the span of time."""
    yield ALL, 1.0
    if job.corrosion in _LEVELS:
        yield _LEVELS[job.corrosion], 1.0
    if job.support in _SUPPORTS:
        yield _SUPPORTS[job.support], 1.0
    if job.doublings:
        yield LEARNING, job.doublings
    for person, count in sorted(Counter(job.technicians).items()):
        yield PERSON + person, count / len(job.technicians)
        if job.doublings:
            yield OWN_LEARNING + person, job.doublings * count / len(job.technicians)


@lru_cache(maxsize=4096)
def _time_of(unit: int, latest: int) -> str:
    return time_name(TimeCell(unit).at(latest))


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
