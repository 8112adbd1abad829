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
TREND_SHARE = 0.3
"""The sd of the trend of a day, by the sd of the walk for the root of a day."""


@dataclass(frozen=True)
class TimeBlocks:
    """Blocks in the order of time: the unit in which each starts, and the mean unit of its jobs.

    `latest` is the unit of the newest job. The level is a random walk with a trend; both begin at the oldest block.
    """

    starts: tuple[int, ...]
    middles: tuple[float, ...]
    latest: int

    @property
    def lag_days(self) -> float:
        """How far the newest job is ahead of the middle of its block."""
        return max(0.0, self.latest + 1 - self.middles[-1]) / UNITS_A_DAY if self.starts else 0.0

    def changes(self, moment: float) -> Floats:
        """The coefficients of the walk's steps up to that unit and of the trend, as many as there are blocks.

        Each has the same spread so: a step counts by the root of its days, the trend by TREND_SHARE of all days.
        """
        if not self.starts:
            return np.zeros(0)
        days = np.diff(np.array(self.middles)) / UNITS_A_DAY
        done = np.arange(len(days)) < bisect_right(self.starts, moment) - 1
        trend = TREND_SHARE * (moment - self.middles[0]) / UNITS_A_DAY
        return np.append(np.where(done, np.sqrt(np.maximum(days, 0.0)), 0.0), trend)

    def ahead(self, days: float) -> Floats:
        """The same so many days after the newest job."""
        return self.changes(self.latest + 0.5 + days * UNITS_A_DAY)


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
