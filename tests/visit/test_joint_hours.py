"""Hours drawn together: each keeps its own forecast, and those of one person are correlated as their variances say."""

from __future__ import annotations

import numpy as np
import pytest

from sparehand.visit.joint_hours import JobHours, joint_draws

COUNT = 40_000


def lognormal(sd: float, seed: int) -> np.ndarray:
    return np.sort(np.exp(sd * np.random.default_rng(seed).standard_normal(16_384)))


def test_each_job_keeps_its_own_forecast() -> None:
    draws = lognormal(0.4, 1)
    hours = joint_draws([JobHours(draws, 0.03, 0.02, "Ada"), JobHours(draws)], COUNT, 7)
    for share in (0.1, 0.5, 0.9):
        assert np.quantile(hours[:, 0], share) == pytest.approx(np.quantile(draws, share), rel=0.02)


def test_jobs_of_one_person_are_correlated_and_those_of_two_less() -> None:
    # Log variances 0.09 and 0.16 with 0.03 in common: 0.03 / (0.3 × 0.4) = 0.25; with the person's 0.03: 0.5.
    jobs = [
        JobHours(lognormal(0.3, 1), 0.03, 0.03, "Ada"),
        JobHours(lognormal(0.4, 2), 0.03, 0.03, "Ada"),
        JobHours(lognormal(0.4, 3), 0.03, 0.03, "Ben"),
    ]
    correlated = np.corrcoef(np.log(joint_draws(jobs, COUNT, 7)).T)
    assert correlated[0, 1] == pytest.approx(0.5, abs=0.02)
    assert correlated[0, 2] == pytest.approx(0.25, abs=0.02)


def test_a_forecast_without_spread_stays_where_it_is() -> None:
    assert np.ptp(joint_draws([JobHours(np.full(10, 2.0), 0.1, 0.1, "Ada")], 100, 1)) == 0
