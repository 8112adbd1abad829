"""Waiting that is not labour: how likely a job is held, and for how long. For "ready when", never for the bill."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sparehand.labour.sample import SampleJob

SHORTEST_SECONDS = 60.0


@dataclass(frozen=True)
class Delay:
    """The chance that a job is held at all, and the hours it then waits; None without a held job to tell from."""

    jobs: int
    chance: float
    median_hours: float | None
    p90_hours: float | None


def delay_of(jobs: Sequence[SampleJob], procedure: str) -> Delay:
    """The delay figure of the procedure's jobs, or of the whole shop's where it has fewer than five."""
    own = [job for job in jobs if job.procedure == procedure]
    some = own if len(own) >= 5 else list(jobs)
    held = [job.held_seconds / 3600 for job in some if job.held_seconds >= SHORTEST_SECONDS]
    chance = (len(held) + 0.5) / (len(some) + 1) if some else 0.0
    if not held:
        return Delay(len(some), chance, None, None)
    return Delay(len(some), chance, float(np.median(held)), float(np.quantile(held, 0.9)))
