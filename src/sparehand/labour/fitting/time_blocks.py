"""Blocks of calendar time between which the shop's level may drift: small ones of late, large ones long ago."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from dataclasses import dataclass

import numpy as np

from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.fitting.arrays import Floats
from sparehand.times.pattern_sums import TIME, time_cell
from sparehand.times.time_cells import UNITS_A_DAY, TimeCell

FEWEST_JOBS = 5
"""A block is at least so many jobs, and at least half as many as are newer than it."""


@dataclass(frozen=True)
class TimeBlocks:
    """Blocks in the order of time: the unit in which each starts, and the mean unit of its jobs.

    `latest` is the unit of the newest job. The level is a random walk that is anchored at the newest block.
    """

    starts: tuple[int, ...]
    middles: tuple[float, ...]
    latest: int

    @property
    def steps(self) -> int:
        """The number of steps of the walk between blocks."""
        return max(0, len(self.starts) - 1)

    @property
    def lag_days(self) -> float:
        """How far the newest job is ahead of the middle of its block."""
        return max(0.0, self.latest + 1 - self.middles[-1]) / UNITS_A_DAY if self.starts else 0.0

    def steps_back(self, unit: int) -> Floats:
        """The coefficients of the steps for a job of that unit, shape (steps): the root of each step's days.

        Steps have equal spread so; the newest block has none of them.
        """
        block = max(0, bisect_right(self.starts, unit) - 1)
        days = np.diff(np.array(self.middles)) / UNITS_A_DAY
        return np.where(np.arange(self.steps) >= block, np.sqrt(np.maximum(days, 0.0)), 0.0)


def time_blocks(evidence: Evidence) -> TimeBlocks:
    """The blocks of all the jobs; they depend on which jobs there are, not on their order."""
    every = [sums for logs in evidence.sums.values() for sums in logs]
    latest = max([sums.latest for sums in every] + [job.unit for job in evidence.rows], default=0)
    jobs: Counter[TimeCell] = Counter()
    for sums in every:
        for place, name in enumerate(sums.names):
            if name.startswith(TIME):
                jobs[time_cell(name).at(latest)] += round(sums.regressors[place][0])
    jobs.update(TimeCell(job.unit).at(latest) for job in evidence.rows)
    starts: list[int] = []
    middles: list[float] = []
    newer = count = 0
    moment = 0.0
    for cell in sorted(jobs, reverse=True):
        count, moment = count + jobs[cell], moment + jobs[cell] * cell.middle
        if count >= max(FEWEST_JOBS, newer / 2):
            starts.insert(0, cell.start)
            middles.insert(0, moment / count)
            newer, count, moment = newer + count, 0, 0.0
    return TimeBlocks(tuple(starts), tuple(middles), latest)
