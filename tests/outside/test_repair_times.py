"""Real repair times through the product's own solver: 46 published ones of an airborne transceiver."""

from __future__ import annotations

import numpy as np
import pytest

from outside import published_data as published
from outside.mixed_model import components, grouped
from sparehand.labour.fitting.priors import RESIDUAL


def test_the_logs_of_46_repair_times_have_the_published_mean_and_spread() -> None:
    """Chhikara & Folks 1977, Technometrics 19:461 (the list); mean of logs 0.658392, sd 1.113966 (recomputed)."""
    found = components(grouped(tuple(np.log(published.REPAIR_HOURS)), 1), (RESIDUAL,))
    assert found.fixed[0] == pytest.approx(0.658392, abs=1e-6)
    assert found.sds[RESIDUAL] == pytest.approx(1.113966, rel=2e-5)
