"""Waiting that is not labour: how likely a job is held, and for how long. For "ready when", never for the bill."""

from __future__ import annotations

import math
from dataclasses import dataclass

from sparehand.labour.evidence import Evidence, LogSums

ENOUGH_JOBS = 5
NINE_IN_TEN = 1.2815515655446004


@dataclass(frozen=True)
class Delay:
    """The chance that a job is held at all, and the hours it then waits; None without a held job to tell from."""

    jobs: int
    chance: float
    median_hours: float | None
    p90_hours: float | None


def delay_of(evidence: Evidence, procedure: str) -> Delay:
    """The delay of the procedure's jobs, or of the whole shop's where it has fewer than five. Waits are lognormal."""
    jobs, held = evidence.jobs_of(procedure), evidence.held_logs.get(procedure, LogSums())
    if jobs < ENOUGH_JOBS:
        jobs, held = evidence.all_jobs, sum(evidence.held_logs.values(), LogSums())
    chance = (held.count + 0.5) / (jobs + 1) if jobs else 0.0
    if not held.count:
        return Delay(jobs, chance, None, None)
    sd = math.sqrt(held.scatter / held.count)
    median = math.exp(held.mean) / 3600
    return Delay(jobs, chance, median, median * math.exp(NINE_IN_TEN * sd))
