"""Hours of several jobs drawn together: each by its own forecast, those of one person correlated."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

Floats = NDArray[np.float64]

MOST_COMMON = 0.95
"""The largest share of a job's log variance that other jobs may explain."""


@dataclass(frozen=True)
class JobHours:
    """The forecast of one job: sorted draws of its hours, and the log variance it shares with other jobs.

    `person` is who does it (None: nobody is named, so that nobody's pace links it to another job).
    """

    draws: Floats
    shop_variance: float = 0.0
    person_variance: float = 0.0
    person: str | None = None


def joint_draws(jobs: Sequence[JobHours], count: int, seed: int) -> Floats:
    """`count` draws of the hours of all jobs, shape (count, jobs): a Gaussian copula over each forecast's own draws.

    A job's normal score is a weighted sum of the shop's, its person's and its own; the squared weights are the shares
    of its log variance. (Copulas: Sklar 1959.)
    """
    rng = np.random.default_rng(seed)
    shop = rng.standard_normal(count)
    people = {name: rng.standard_normal(count) for name in dict.fromkeys(job.person for job in jobs) if name}
    hours = np.empty((count, len(jobs)))
    for place, job in enumerate(jobs):
        of_shop, of_person = _shares(job)
        person = people.get(job.person or "", np.zeros(count))
        alone = 1 - of_shop - (of_person if job.person else 0.0)
        score = np.sqrt(of_shop) * shop + np.sqrt(of_person) * person + np.sqrt(alone) * rng.standard_normal(count)
        places = np.minimum((ndtr(score) * len(job.draws)).astype(np.int64), len(job.draws) - 1)
        hours[:, place] = job.draws[places]
    return hours


def _shares(job: JobHours) -> tuple[float, float]:
    logs = np.log(np.maximum(job.draws, 1e-6))
    total = float(np.var(logs))
    if total <= 0:
        return 0.0, 0.0
    shop, person = job.shop_variance / total, job.person_variance / total
    scale = min(1.0, MOST_COMMON / max(shop + person, 1e-12))
    return shop * scale, person * scale
