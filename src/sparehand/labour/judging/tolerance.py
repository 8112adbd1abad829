"""Tolerance limits: a time that a stated share of jobs stays below, with stated confidence (ISO 16269-6's sense)."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from scipy.stats import binom, nct, norm

from sparehand.ground.errors import InputError


def jobs_for_limit(share: float, confidence: float, two_sided: bool = False) -> int:
    """How many jobs make the longest (or shortest and longest) a limit for `share` of all, whatever their distribution.

    Source: Wilks 1941, Ann. Math. Statist. 12:91.
    """
    _check(share, confidence)
    count = 2 if two_sided else 1
    while _certainty(count, share, two_sided) < confidence:
        count += 1
    return count


def normal_factor(count: int, share: float, confidence: float) -> float:
    """How many sds above the mean of `count` normal values the one-sided limit lies (by the noncentral t)."""
    _check(share, confidence)
    if count < 2:
        raise InputError(f"a normal tolerance limit needs at least 2 jobs, not {count}")
    return float(nct.ppf(confidence, count - 1, norm.ppf(share) * math.sqrt(count))) / math.sqrt(count)


def free_limit(values: Sequence[float], share: float, confidence: float) -> float | None:
    """The smallest of `values` that `share` of all jobs stays below with `confidence`; None where there are too few."""
    _check(share, confidence)
    place = int(binom.ppf(confidence, len(values), share)) + 1
    return sorted(values)[place - 1] if 0 < place <= len(values) else None


def lognormal_limit(values: Sequence[float], share: float, confidence: float) -> float | None:
    """The limit if the logs of `values` are normal; None with fewer than two."""
    if len(values) < 2:
        return None
    logs = np.log(values)
    return float(np.exp(logs.mean() + normal_factor(len(values), share, confidence) * logs.std(ddof=1)))


def _certainty(count: int, share: float, two_sided: bool) -> float:
    if two_sided:
        return float(1 - count * share ** (count - 1) + (count - 1) * share**count)
    return float(1 - share**count)


def _check(share: float, confidence: float) -> None:
    if not (0 < share < 1 and 0 < confidence < 1):
        raise InputError(f"share {share:g} and confidence {confidence:g} must lie between 0 and 1")
