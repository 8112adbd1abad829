"""General libraries where they can do the same, and what they cannot do.

statsmodels MixedLM fits nested variance components but crosses none over large groups and gives no interval for a new
job of a new group.
"""

from __future__ import annotations

import math
import warnings

import numpy as np
import pytest
from statsmodels.regression.mixed_linear_model import MixedLM, MixedLMResults

from outside import published_data as published
from outside.mixed_model import components, grouped
from sparehand.labour.fitting.priors import JOB, RESIDUAL


def mixed_model(values: tuple[float, ...], size: int) -> MixedLMResults:
    """One mean and one effect for each run of `size` values, by restricted likelihood."""
    model = MixedLM(np.array(values), np.ones((len(values), 1)), groups=np.arange(len(values)) // size)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # it warns where a spread is near nothing
        return model.fit(reml=True, method="powell")


@pytest.mark.parametrize(("values", "size"), [(published.RAIL, 3), (published.DYESTUFF, 5), (published.DYESTUFF_2, 5)])
def test_a_mixed_model_of_groups_agrees_with_statsmodels(values: tuple[float, ...], size: int) -> None:
    ours, theirs = components(grouped(values, size), (JOB, RESIDUAL)), mixed_model(values, size)
    assert ours.sds[RESIDUAL] == pytest.approx(math.sqrt(theirs.scale), rel=1e-3)
    assert ours.sds[JOB] == pytest.approx(math.sqrt(theirs.cov_re[0, 0]), rel=1e-3, abs=0.02)
    assert ours.fixed[0] == pytest.approx(theirs.fe_params[0], rel=1e-5)
