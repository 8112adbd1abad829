"""Lognormal fits with unfinished times, against published ones. SciPy fits them too, but gives no standard errors."""

from __future__ import annotations

import math

import published_data as published
import pytest
from scipy.stats import CensoredData, lognorm

from sparehand.labour.fitting.lognormal import fit_lognormal


def test_locomotive_controls() -> None:
    """5.1169 and 0.7055 by SAS, as quoted beside the data in SciPy's censored-fit tests."""
    found = fit_lognormal(published.LOCOMOTIVE_FAILURES, [135.0] * 59)
    assert found.mean == pytest.approx(5.1169, abs=1e-4)
    assert found.sd == pytest.approx(0.7055, abs=1e-4)


def test_five_failures_and_fifteen_survivors_with_variances() -> None:
    """Meeker & Escobar 1998, p. 199: 6.564256, 0.534; variances 0.0581, 0.0405, covariance 0.0374."""
    found = fit_lognormal([252, 315, 369, 403, 474], [500.0] * 15)
    assert found.mean == pytest.approx(6.564256, abs=1e-5)
    assert found.sd == pytest.approx(0.534, abs=5e-4)
    assert found.covariance.ravel() == pytest.approx([0.0581, 0.0374, 0.0374, 0.0405], abs=1e-4)


def test_lung() -> None:
    """5.663305 and 1.097639 by R's survival package (recomputed)."""
    pairs = list(zip(published.LUNG_DAYS, published.LUNG_DIED, strict=True))
    found = fit_lognormal([days for days, died in pairs if died == "1"], [days for days, died in pairs if died == "0"])
    assert found.mean == pytest.approx(5.663305, abs=1e-5)
    assert found.sd == pytest.approx(1.097639, abs=1e-5)


def test_scipy_agrees() -> None:
    data = CensoredData(uncensored=list(published.LOCOMOTIVE_FAILURES), right=[135.0] * 59)
    shape, _, scale = lognorm.fit(data, floc=0)
    found = fit_lognormal(published.LOCOMOTIVE_FAILURES, [135.0] * 59)
    assert (math.log(scale), shape) == pytest.approx((found.mean, found.sd), rel=1e-3)
