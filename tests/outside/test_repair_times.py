"""Real repair times are lognormal to a good approximation: 46 published ones, and delivery men's service times."""

from __future__ import annotations

import math

import numpy as np
import published_data as published
import pytest
from scipy import stats

from sparehand.labour.fitting.lognormal import fit_lognormal


def test_lognormal_fit_of_the_46_repair_times() -> None:
    """Mean of logs 0.658392, sd 1.101791 with divisor n (recomputed from the published list)."""
    found = fit_lognormal(published.REPAIR_HOURS)
    assert found.mean == pytest.approx(0.658392, abs=1e-6)
    assert found.sd == pytest.approx(1.101791, abs=1e-6)
    assert np.log(published.REPAIR_HOURS).std(ddof=1) == pytest.approx(1.113966, abs=1e-6)


def test_mean_time_to_repair_is_the_lognormals_mean() -> None:
    """MIL-HDBK-338B 5.6.2.1: exp(mean + variance / 2), not the exponential of the mean."""
    found = fit_lognormal(published.REPAIR_HOURS)
    assert found.mean_time == pytest.approx(math.exp(0.658392 + 1.101791**2 / 2), rel=1e-5)
    assert found.median < found.mean_time


def test_the_list_is_the_published_one() -> None:
    """Inverse Gaussian maximum likelihood of Chhikara & Folks 1977: 3.606522 and 1.658853 (copies with 24.0 fail)."""
    hours = np.array(published.REPAIR_HOURS)
    mean = hours.mean()
    assert mean == pytest.approx(3.606522, abs=1e-6)
    assert len(hours) / (1 / hours - 1 / mean).sum() == pytest.approx(1.658853, abs=1e-6)


def test_scipy_agrees_on_the_lognormal() -> None:
    shape, _, scale = stats.lognorm.fit(published.REPAIR_HOURS, floc=0)
    found = fit_lognormal(published.REPAIR_HOURS)
    assert (math.log(scale), shape) == pytest.approx((found.mean, found.sd), rel=1e-4)


def test_delivery_times_by_least_squares() -> None:
    """Coefficients and R2 from memory (Montgomery & Peck); the interval was recomputed."""
    minutes = np.array(published.DELIVERY_MINUTES)
    x = np.column_stack([np.ones(25), published.DELIVERY_CASES, published.DELIVERY_FEET])
    inverse = np.linalg.inv(x.T @ x)
    coefficients = inverse @ x.T @ minutes
    rest = minutes - x @ coefficients
    assert coefficients == pytest.approx([2.34123, 1.61591, 0.01438], abs=1e-5)
    assert 1 - rest @ rest / ((minutes - minutes.mean()) ** 2).sum() == pytest.approx(0.9596, abs=1e-4)
    at = np.array([1.0, 8.0, 275.0])
    reach = stats.t.ppf(0.975, 22) * math.sqrt(rest @ rest / 22 * (1 + at @ inverse @ at))
    assert (at @ coefficients - reach, at @ coefficients + reach) == pytest.approx((12.285, 26.164), abs=1e-3)
