"""All that the estimates read of a shop's jobs, in a form that adds up: a log can keep it up to date job by job.

Plain jobs are sums by pattern of phases. Jobs with unfinished or doubtful phases stay as rows. The rest are counts and
sums.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from sparehand.labour.evidence.slips import Slip, gate_slips, phase_bins, usual_times
from sparehand.procedures.plan import PhaseKey
from sparehand.times.pattern_sums import Pattern, PatternSums, pattern_of
from sparehand.times.sample import Plans, SampleJob

SHORTEST_HOLD_SECONDS = 60.0


@dataclass(frozen=True)
class LogSums:
    """Number, sum and sum of squares of some logs."""

    count: int = 0
    total: float = 0.0
    squares: float = 0.0

    def __add__(self, other: LogSums) -> LogSums:
        return LogSums(self.count + other.count, self.total + other.total, self.squares + other.squares)

    @classmethod
    def of(cls, seconds: float) -> LogSums:
        """The sums of one duration."""
        return cls(1, math.log(seconds), math.log(seconds) ** 2)

    @property
    def mean(self) -> float:
        """The mean log; 0 of none."""
        return self.total / self.count if self.count else 0.0

    @property
    def scatter(self) -> float:
        """The sum of squares about the mean."""
        return max(0.0, self.squares - self.count * self.mean**2)


@dataclass(frozen=True)
class Shape:
    """Which phases a job of these operations had, each with whether it was finished."""

    procedure: str
    operations: tuple[str, ...]
    phases: tuple[tuple[PhaseKey, bool], ...]


@dataclass(frozen=True)
class PhaseOn:
    """A phase of a procedure on vehicles of one level of corrosion."""

    procedure: str
    phase: str
    corrosion: str


@dataclass(frozen=True)
class SnagOf:
    """A kind of snag in a phase on vehicles of one level of corrosion."""

    at: PhaseOn
    kind: str


@dataclass(frozen=True)
class Evidence:
    """What a set of jobs says. `a + b` is what both sets say together."""

    sums: Mapping[tuple[str, Pattern], tuple[PatternSums, ...]] = field(default_factory=dict)
    """Plain jobs by (procedure, pattern of phases), summed; one sum for each log that has some."""
    rows: tuple[SampleJob, ...] = ()
    shapes: Mapping[Shape, int] = field(default_factory=dict)
    jobs: Mapping[tuple[str, str], int] = field(default_factory=dict)
    """Number of jobs by (procedure, technician)."""
    supports: Mapping[str, int] = field(default_factory=dict)
    worked: Mapping[PhaseOn, int] = field(default_factory=dict)
    snags: Mapping[SnagOf, int] = field(default_factory=dict)
    snag_logs: Mapping[str, LogSums] = field(default_factory=dict)
    held_logs: Mapping[str, LogSums] = field(default_factory=dict)
    slips: tuple[Slip, ...] = ()

    def __add__(self, other: Evidence) -> Evidence:
        return Evidence(
            sums=both(self.sums, other.sums),
            rows=self.rows + other.rows,
            shapes=both(self.shapes, other.shapes),
            jobs=both(self.jobs, other.jobs),
            supports=both(self.supports, other.supports),
            worked=both(self.worked, other.worked),
            snags=both(self.snags, other.snags),
            snag_logs=both(self.snag_logs, other.snag_logs),
            held_logs=both(self.held_logs, other.held_logs),
            slips=self.slips + other.slips,
        )

    def jobs_of(self, procedure: str) -> int:
        """How many jobs of the procedure there are."""
        return sum(count for (name, _), count in self.jobs.items() if name == procedure)

    @property
    def all_jobs(self) -> int:
        """How many jobs there are at all."""
        return sum(self.jobs.values())

    @property
    def people(self) -> set[str]:
        """Every technician of a phase time."""
        summed = {person for logs in self.sums.values() for sums in logs for person in sums.people}
        return summed | {cell.technician for job in self.rows for cell in job.cells}

    def jobs_by(self) -> Counter[str]:
        """The number of jobs by technician."""
        jobs: Counter[str] = Counter()
        for (_, technician), count in self.jobs.items():
            jobs[technician] += count
        return jobs

    def of(self, procedure: str) -> Evidence:
        """What concerns one procedure; the logs of snags, which are not known by procedure, stay out."""
        return Evidence(
            sums={key: value for key, value in self.sums.items() if key[0] == procedure},
            rows=tuple(job for job in self.rows if job.procedure == procedure),
            shapes=self.shapes_of(procedure),
            jobs={key: value for key, value in self.jobs.items() if key[0] == procedure},
            worked={key: value for key, value in self.worked.items() if key.procedure == procedure},
            snags={key: value for key, value in self.snags.items() if key.at.procedure == procedure},
            held_logs={key: value for key, value in self.held_logs.items() if key == procedure},
            slips=self.slips,
        )

    def shapes_of(self, procedure: str) -> dict[Shape, int]:
        """The shapes of the procedure's jobs."""
        return {shape: count for shape, count in self.shapes.items() if shape.procedure == procedure}

    def finished(self, procedure: str, phase: str) -> int:
        """How many jobs of the procedure have timed the phase to its end."""
        return sum(
            count
            for shape, count in self.shapes_of(procedure).items()
            if any(key.phase == phase and done for key, done in shape.phases)
        )


def gather_evidence(jobs: Sequence[SampleJob], plans: Plans) -> Evidence:
    """What the jobs say, gross slips mended first."""
    mended, slips = gate_slips(jobs, usual_times(phase_bins(jobs), plans))
    shapes: dict[Shape, int] = {}
    by: dict[tuple[str, str], int] = {}
    supports: dict[str, int] = {}
    worked: dict[PhaseOn, int] = {}
    snags: dict[SnagOf, int] = {}
    for job in jobs:
        _count(shapes, Shape(job.procedure, job.operations, tuple((cell.key, cell.complete) for cell in job.cells)))
        _count(by, (job.procedure, job.technician))
        _count(supports, job.support)
        for cell in job.cells:
            _count(worked, PhaseOn(job.procedure, cell.phase, job.corrosion))
        for snag in job.snags:
            _count(snags, SnagOf(PhaseOn(job.procedure, snag.phase, job.corrosion), snag.kind))
    return Evidence(
        sums=sums_of(job for job in mended if job.plain),
        rows=tuple(job for job in mended if not job.plain),
        shapes=shapes,
        jobs=by,
        supports=supports,
        worked=worked,
        snags=snags,
        snag_logs=_log_sums((snag.kind, snag.seconds) for job in jobs for snag in job.snags),
        held_logs=_log_sums(
            (job.procedure, job.held_seconds) for job in jobs if job.held_seconds >= SHORTEST_HOLD_SECONDS
        ),
        slips=slips,
    )


Key = TypeVar("Key")
Sum = TypeVar("Sum", int, LogSums, tuple[PatternSums, ...])


def _count(counts: dict[Key, int], key: Key) -> None:
    counts[key] = counts.get(key, 0) + 1


def _log_sums(durations: Iterable[tuple[str, float]]) -> dict[str, LogSums]:
    sums: dict[str, LogSums] = {}
    for name, seconds in durations:
        sums[name] = sums.get(name, LogSums()) + LogSums.of(seconds)
    return sums


def sums_of(jobs: Iterable[SampleJob]) -> dict[tuple[str, Pattern], tuple[PatternSums, ...]]:
    """The sums of jobs, which must all be plain, by procedure and pattern."""
    sums: dict[tuple[str, Pattern], PatternSums] = {}
    for job in jobs:
        pattern, order = pattern_of(job)
        logs = [math.log(job.cells[place].seconds) for place in order]
        sums.setdefault((job.procedure, pattern), PatternSums()).add(job, logs)
    return {key: (each,) for key, each in sums.items()}


def both(first: Mapping[Key, Sum], second: Mapping[Key, Sum]) -> dict[Key, Sum]:
    """What two sets of sums by key add up to."""
    added = dict(first)
    for key, value in second.items():
        added[key] = added[key] + value if key in added else value
    return added
