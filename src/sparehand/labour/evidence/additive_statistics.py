"""Additive statistics of complete, trusted jobs: enough for the likelihood, exactly, however many the jobs are.

For jobs alike (one signature) the Gaussian likelihood with a job effect needs only their number, the sum of the logs of
each phase, the sum of all squared logs, and the sum over jobs of the squared total of logs. Without the last one
the spread between jobs cannot be told from the spread within them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sparehand.times.sample import SampleJob
from sparehand.times.signature import Signature, signature_of


@dataclass(frozen=True)
class Totals:
    """The sums over the jobs of one signature. Logs are natural logs of worked seconds without snags."""

    jobs: int
    sums: NDArray[np.float64]
    squares: float
    squared_totals: float

    def __add__(self, other: Totals) -> Totals:
        return Totals(
            self.jobs + other.jobs,
            self.sums + other.sums,
            self.squares + other.squares,
            self.squared_totals + other.squared_totals,
        )

    def relative_to(self, reference: NDArray[np.float64]) -> Totals:
        """The same sums for logs taken relative to `reference` (log seconds, one a phase)."""
        total, offset = float(self.sums.sum()), float(reference.sum())
        return Totals(
            self.jobs,
            self.sums - self.jobs * reference,
            self.squares - 2 * float(reference @ self.sums) + self.jobs * float(reference @ reference),
            self.squared_totals - 2 * offset * total + self.jobs * offset**2,
        )


def gather(jobs: Iterable[SampleJob]) -> dict[Signature, Totals]:
    """The totals by signature of the jobs, which must all be plain."""
    logs: dict[Signature, list[list[float]]] = {}
    for job in jobs:
        signature, order = signature_of(job)
        logs.setdefault(signature, []).append([math.log(job.cells[place].seconds) for place in order])
    return {signature: _totals(np.array(rows)) for signature, rows in logs.items()}


def _totals(rows: NDArray[np.float64]) -> Totals:
    return Totals(len(rows), rows.sum(axis=0), float((rows**2).sum()), float((rows.sum(axis=1) ** 2).sum()))
