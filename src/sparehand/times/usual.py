"""What a phase usually takes, and how widely: read off counts that add up in whatever order jobs come."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping

BINS_A_DOUBLING = 4
"""Narrow enough that the median is within a tenth; it only gates times that are off tenfold."""

MAD_TO_SD = 1.4826
"""The sd of a normal distribution by its median distance to the median."""

Bins = dict[int, int]
"""How many times fell into each bin of log seconds."""


def bin_of(seconds: float) -> int:
    """The bin of a time."""
    return math.floor(BINS_A_DOUBLING * math.log2(seconds))


def binned(times: Iterable[float]) -> Bins:
    """The counts of some times."""
    bins: Bins = {}
    for seconds in times:
        place = bin_of(seconds)
        bins[place] = bins.get(place, 0) + 1
    return bins


def median_of(bins: Mapping[int, int]) -> float:
    """The median in seconds, interpolated inside its bin; there must be a time."""
    half, below = sum(bins.values()) / 2, 0
    for place in sorted(bins):
        if below + bins[place] >= half:
            return float(2 ** ((place + (half - below) / bins[place]) / BINS_A_DOUBLING))
        below += bins[place]
    raise ValueError("no time to take a median of")


def log_spread_of(bins: Mapping[int, int]) -> float:
    """The log sd of the times, from the median of their distances to the median, so that a few slips leave it alone."""
    centre = BINS_A_DOUBLING * math.log2(median_of(bins))
    half, below = sum(bins.values()) / 2, 0
    for distance, count in sorted((abs(place + 0.5 - centre), count) for place, count in bins.items()):
        below += count
        if below >= half:
            return MAD_TO_SD * distance * math.log(2) / BINS_A_DOUBLING
    raise ValueError("no time to take a spread of")
