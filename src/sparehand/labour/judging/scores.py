"""How good a forecast was, once the job is done: proper scores and coverage, with their sampling limits.

Sources: Gneiting & Raftery 2007, J. Amer. Statist. Assoc. 102:359 (CRPS, quantile score); Clopper & Pearson 1934,
Biometrika 26:404 (binomial limits).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sparehand.labour.fitting.arrays import Floats

LEVELS = (0.5, 0.8, 0.9)
SHARES = (0.1, 0.25, 0.5, 0.75, 0.9)


def crps(draws: Floats, actual: float) -> float:
    """Continuous ranked probability score of a sample, in its unit; a point forecast gives its absolute error."""
    ordered = np.sort(draws)
    count = len(ordered)
    weights = (2 * np.arange(1, count + 1) - count - 1) / count**2
    return float(np.mean(np.abs(ordered - actual)) - weights @ ordered)


def pinball(quantile: float, share: float, actual: float) -> float:
    """Loss of quoting `quantile` as the value that a `share` of outcomes stays below."""
    return (actual - quantile) * share if actual >= quantile else (quantile - actual) * (1 - share)


def mean_pinball(draws: Floats, actual: float) -> float:
    """Pinball loss averaged over `SHARES`."""
    return float(np.mean([pinball(float(np.quantile(draws, share)), share, actual) for share in SHARES]))


def place_in(draws: Floats, actual: float) -> float:
    """The share of draws below what happened (the probability integral transform), ties halved."""
    return float(np.mean(draws < actual) + 0.5 * np.mean(draws == actual))


@dataclass(frozen=True)
class Coverage:
    """How often a central interval held, with 95 % binomial limits about what was said."""

    nominal: float
    held: float
    low: float
    high: float


def coverage_of(places: Sequence[float]) -> tuple[Coverage, ...]:
    """Coverage of the central 50, 80 and 90 % intervals from the places of the outcomes in their forecasts.

    The limits are those within which the share held lies with 95 % chance if the forecasts are right.
    """
    found = []
    for level in LEVELS:
        inside = [abs(place - 0.5) <= level / 2 for place in places]
        low, high = binomial_limits(level, len(places))
        found.append(Coverage(level, float(np.mean(inside)) if inside else float("nan"), low, high))
    return tuple(found)


def binomial_limits(chance: float, count: int) -> tuple[float, float]:
    """The 2.5 and 97.5 % points of the share of `count` trials that succeed with `chance`."""
    from scipy.stats import binom

    if count == 0:
        return 0.0, 1.0
    return float(binom.ppf(0.025, count, chance)) / count, float(binom.ppf(0.975, count, chance)) / count
