"""A lognormal fitted to times some of which are only lower bounds, with standard errors."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize
from scipy.special import log_ndtr

from sparehand.ground.errors import InputError
from sparehand.labour.fitting.effect_layout import Floats


@dataclass(frozen=True)
class LognormalFit:
    """Mean and sd of the logs by maximum likelihood, and their sampling covariance.

    `covariance` is the inverse observed information of (mean, sd) in that order.
    """

    mean: float
    sd: float
    covariance: Floats
    log_likelihood: float

    @property
    def median(self) -> float:
        """The time that half of the jobs take at most."""
        return math.exp(self.mean)

    @property
    def mean_time(self) -> float:
        """The mean of the times: exp(mean + variance / 2), the mean time to repair of MIL-HDBK-338B, 5.6.2.1."""
        return math.exp(self.mean + self.sd**2 / 2)


def fit_lognormal(finished: Sequence[float], unfinished: Sequence[float] = ()) -> LognormalFit:
    """Fit to finished times and lower bounds, all positive.

    Raises InputError with fewer than two different finished times, for then no spread can be told.
    """
    if len(set(finished)) < 2 or min((*finished, *unfinished)) <= 0:
        raise InputError("a spread needs at least two different finished times, all above zero: log more jobs")
    exact, bounds = np.log(np.asarray(finished, dtype=np.float64)), np.log(np.asarray(unfinished, dtype=np.float64))
    start = np.array([exact.mean(), math.log(exact.std())])

    def cost(place: Floats) -> tuple[float, Floats]:
        return _cost(exact, bounds, place[0], math.exp(place[1]))

    found = minimize(cost, start, jac=True, method="BFGS", options={"gtol": 1e-9})
    mean, sd = float(found.x[0]), math.exp(found.x[1])
    covariance = np.asarray(np.linalg.inv(_information(exact, bounds, mean, sd)), dtype=np.float64)
    return LognormalFit(mean, sd, covariance, -float(found.fun) - float(exact.sum()))


def _cost(exact: Floats, bounds: Floats, mean: float, sd: float) -> tuple[float, Floats]:
    """Minus the log likelihood of the logs, and its slope by mean and log sd."""
    z, above = (exact - mean) / sd, (bounds - mean) / sd
    hazard = _hazard(above)
    value = 0.5 * float(z @ z) + len(z) * (math.log(sd) + 0.5 * math.log(2 * math.pi)) - float(log_ndtr(-above).sum())
    slope = np.array([-z.sum() / sd - hazard.sum() / sd, len(z) - float(z @ z) - float(above @ hazard)])
    return value, slope


def _information(exact: Floats, bounds: Floats, mean: float, sd: float) -> Floats:
    """Minus the second derivatives of the log likelihood by (mean, sd)."""
    z, above = (exact - mean) / sd, (bounds - mean) / sd
    hazard = _hazard(above)
    bend = hazard * (hazard - above)
    by_mean = len(z) + bend.sum()
    mixed = 2 * z.sum() + (hazard + above * bend).sum()
    by_sd = 3 * float(z @ z) - len(z) + (2 * above * hazard + above**2 * bend).sum()
    return np.array([[by_mean, mixed], [mixed, by_sd]]) / sd**2


def _hazard(z: Floats) -> Floats:
    return np.asarray(np.exp(-0.5 * z**2 - 0.5 * math.log(2 * math.pi) - log_ndtr(-z)), dtype=np.float64)
