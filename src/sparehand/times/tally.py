"""What one procedure's jobs add up to, job by job: all that estimates need of them, however many they are.

Jobs whose times are beyond doubt go into sums. The others (unfinished, far off what is usual, of a phase hardly ever
timed) stay as rows; of very many, those whose hashed name is lowest, standing for all. So nothing depends on the order
in which jobs come, but for two things that make `add` ask for a recount: a technician's job from before their last one,
which shifts repetitions, and what is usual having moved away from what the sums were judged by.
"""

from __future__ import annotations

import json
import math
from collections import Counter
from dataclasses import dataclass, field
from datetime import UTC
from functools import cache
from hashlib import blake2b

from pydantic import ConfigDict, TypeAdapter

from sparehand.times.job_times import JobTimes, KeptJob
from sparehand.times.pattern_sums import PatternSums, pattern_of
from sparehand.times.sample import SampleJob, clean_jobs
from sparehand.times.usual import Bins, bin_of, median_of

ENOUGH_TIMES = 9
"""A phase timed to its end less often has no usual time to judge by."""
DRIFT = 1.5
"""What is usual may move by this factor before the jobs are counted anew."""
NEAR = 6.25
"""Times within this factor of the usual one are beyond doubt; `slips` gates at twice as far."""
MOST_ROWS = 60
SHORTEST_HOLD_SECONDS = 60.0


@dataclass
class LogTally:
    """Number, sum and sum of squares of some logs."""

    count: int = 0
    total: float = 0.0
    squares: float = 0.0

    def add(self, seconds: float) -> None:
        """Add one duration."""
        self.count += 1
        self.total += math.log(seconds)
        self.squares += math.log(seconds) ** 2


@dataclass
class Tally:
    """The sums of one procedure. Technicians stand as whatever the caller calls them (a log: by their id).

    Keys that say several things are JSON lists: a shape its operations and its phases with side and whether finished,
    `worked` a phase and the corrosion, `snags` those and the kind.
    """

    __pydantic_config__ = ConfigDict(extra="forbid")  # refuses what an earlier version has written

    procedure: str
    jobs: Counter[str] = field(default_factory=Counter)
    last: dict[str, tuple[str, str]] = field(default_factory=dict)
    """The opening (UTC) and name of each technician's last job."""
    shapes: Counter[str] = field(default_factory=Counter)
    supports: Counter[str] = field(default_factory=Counter)
    worked: Counter[str] = field(default_factory=Counter)
    snags: Counter[str] = field(default_factory=Counter)
    snag_logs: dict[str, LogTally] = field(default_factory=dict)
    held: LogTally = field(default_factory=LogTally)
    bins: dict[str, Bins] = field(default_factory=dict)
    anchors: dict[str, float] = field(default_factory=dict)
    """The usual seconds of phases that the jobs in the sums were judged by."""
    sums: dict[str, PatternSums] = field(default_factory=dict)
    """The sums of jobs with the same phases."""
    rows: list[SampleJob] = field(default_factory=list)
    unsummed: int = 0
    """How many jobs the rows stand for."""

    def add(self, times: JobTimes) -> bool:
        """Add a job; False where all jobs must be counted anew instead, and this tally is of no use any more."""
        moment = _moment(times)
        job = self._cleaned(times)
        if job is None:
            return True
        if moment < self.last.get(job.technician, ("", "")):
            return False
        self.was_last(job.technician, times)
        self.jobs[job.technician] += 1
        self.supports[job.support] += 1
        self.count_hold(job.held_seconds)
        self._count(job)
        self._place(job)
        return all(self.holds(phase) for phase in {cell.phase for cell in job.cells})

    def to_json(self) -> bytes:
        """The written form; `from_json` gives the same tally again."""
        return _written_form().dump_json(self)

    @classmethod
    def from_json(cls, text: str | bytes) -> Tally:
        """The tally of its written form. Raises ValueError for anything else."""
        return _written_form().validate_json(text)

    @property
    def people(self) -> set[str]:
        """All technicians met, as the tally calls them."""
        summed = {person for sums in self.sums.values() for person in sums.people}
        return summed | set(self.jobs) | {cell.technician for job in self.rows for cell in job.cells}

    def _cleaned(self, times: JobTimes) -> SampleJob | None:
        done = {(technician, self.procedure): count for technician, count in self.jobs.items()}
        return next(iter(clean_jobs([times], done=done)), None)

    def holds(self, phase: str) -> bool:
        """Whether the phase still usually takes about what the sums were judged by."""
        if phase not in self.anchors or sum(self.bins[phase].values()) < ENOUGH_TIMES:
            return True
        return 1 / DRIFT <= median_of(self.bins[phase]) / self.anchors[phase] <= DRIFT

    def count_hold(self, seconds: float) -> None:
        """Count how long a job was held."""
        if seconds >= SHORTEST_HOLD_SECONDS:
            self.held.add(seconds)

    def was_last(self, technician: str, times: JobTimes | KeptJob) -> None:
        """Say that a technician did this job, none after it so far but such as were said."""
        self.last[technician] = max(self.last.get(technician, ("", "")), _moment(times))

    def _count(self, job: SampleJob) -> None:
        """Its shape, its phases and snags, but not the logs of work."""
        phases = [[cell.phase, cell.side, cell.complete] for cell in job.cells]
        self.shapes[json.dumps([list(job.operations), phases])] += 1
        for cell in job.cells:
            bins = self.bins.setdefault(cell.phase, {})
            if cell.complete:
                bins[bin_of(cell.seconds)] = bins.get(bin_of(cell.seconds), 0) + 1
            self.worked[json.dumps([cell.phase, job.corrosion])] += 1
            if cell.phase not in self.anchors and sum(bins.values()) >= ENOUGH_TIMES:
                self.anchors[cell.phase] = median_of(bins)
        for snag in job.snags:
            self.snags[json.dumps([snag.phase, job.corrosion, snag.kind])] += 1
            self.snag_logs.setdefault(snag.kind, LogTally()).add(snag.seconds)

    def _place(self, job: SampleJob) -> None:
        """Into the sums, or among the rows."""
        if self._beyond_doubt(job):
            pattern, order = pattern_of(job)
            logs = [math.log(job.cells[place].seconds) for place in order]
            self.sums.setdefault(json.dumps(pattern), PatternSums()).add(job, logs)
            return
        self.unsummed += 1
        self.rows.append(job)
        if len(self.rows) > MOST_ROWS:
            self.rows.remove(max(self.rows, key=lambda row: _hashed_name(row.job)))

    def _beyond_doubt(self, job: SampleJob) -> bool:
        return job.plain and all(
            1 / NEAR < cell.seconds / self.anchors.get(cell.phase, math.inf) < NEAR for cell in job.cells
        )


@cache
def _written_form() -> TypeAdapter[Tally]:
    return TypeAdapter(Tally)


def _moment(times: JobTimes | KeptJob) -> tuple[str, str]:
    return times.opened_at.astimezone(UTC).isoformat(timespec="microseconds"), times.job


def _hashed_name(job: str) -> bytes:
    return blake2b(job.encode(), digest_size=8).digest()
