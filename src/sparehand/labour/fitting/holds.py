"""Waiting that is not labour: how likely a job is held, and for how long. For "ready when", never for the bill."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from sparehand.labour.evidence.shop_evidence import LogSums

ENOUGH_JOBS = 5
"""With fewer jobs of a procedure the delay is that of the whole shop."""
NINE_IN_TEN = 1.2815515655446004


@dataclass(frozen=True)
class Delay:
    """The chance that a job is held at all, and the hours it then waits; None without a held job to tell from."""

    jobs: int
    chance: float
    median_hours: float | None
    p90_hours: float | None


def delay_of(jobs: int, held: Iterable[LogSums]) -> Delay:
    """The delay of so many jobs, of which some were held. Waits are lognormal."""
    logs = sum(held, LogSums())
    chance = (logs.count + 0.5) / (jobs + 1) if jobs else 0.0
    if not logs.count:
        return Delay(jobs, chance, None, None)
    sd = math.sqrt(logs.scatter / logs.count)
    median = math.exp(logs.mean) / 3600
    return Delay(jobs, chance, median, median * math.exp(NINE_IN_TEN * sd))
