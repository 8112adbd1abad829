"""Simple forecasts that the model has to beat; each sees whole earlier jobs as ratios to their plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtrit

from sparehand.labour.fitting.arrays import Floats

RIVALS = ("plan", "mean", "median", "last job", "past totals", "normal-gamma")
POINTS = 999
STRENGTH, SHAPE, RATE = 0.7, 4.0, 4.0 * 0.3**2


@dataclass(frozen=True)
class WholeJob:
    """An earlier job seen whole: hours taken, and hours planned for the same phases."""

    hours: float
    planned: float

    @property
    def ratio(self) -> float:
        """How many times its plan it took."""
        return self.hours / self.planned


def rival_draws(rival: str, earlier: Sequence[WholeJob], planned: float) -> Floats:
    """The rival's forecast for a job planned at `planned` hours; without earlier jobs every one repeats the plan.

    "past totals" takes the earlier ratios themselves as the distribution; the first four are points.
    """
    ratios = np.array([job.ratio for job in earlier])
    if rival == "normal-gamma":
        return planned * np.exp(_normal_gamma(np.log(ratios)))
    if rival == "plan" or not len(ratios):
        return np.array([planned])
    if rival == "past totals":
        return planned * ratios
    middle = {"mean": np.mean(ratios), "median": np.median(ratios), "last job": ratios[-1]}[rival]
    return np.array([planned * float(middle)])


def _normal_gamma(logs: Floats) -> Floats:
    """Even quantiles of the predictive of log(total / plan): a t (DeGroot 1970, section 9.6)."""
    count = len(logs)
    mean = float(logs.mean()) if count else 0.0
    strength, shape = STRENGTH + count, SHAPE + count / 2
    centre = count * mean / strength
    rate = RATE + 0.5 * float(((logs - mean) ** 2).sum()) + STRENGTH * count * mean**2 / (2 * strength)
    even = (np.arange(POINTS) + 0.5) / POINTS
    scale = np.sqrt(rate * (1 + 1 / strength) / shape)
    return np.asarray(centre + scale * stdtrit(2 * shape, even), dtype=np.float64)
