"""General libraries where they can do the same, and what they cannot do.

statsmodels MixedLM fits nested variance components but crosses none over large groups and gives no interval for a new
job of a new group; lifelines fits censored lognormals but has no random effects, and its percentiles plug the fit in.
"""

from __future__ import annotations

import math
import warnings

import numpy as np
import pandas
import published_data as published
import pytest
from lifelines import LogNormalFitter
from statsmodels.regression.mixed_linear_model import MixedLM, MixedLMResults
from test_variance_components import components, grouped

from sparehand.labour.fitting.lognormal import fit_lognormal
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


def test_machines_nested_in_workers_agree_with_statsmodels() -> None:
    """Worker 4.78105, machine in worker 3.729532, residual 0.961577 (Pinheiro & Bates 2000); statsmodels by itself."""
    worker, machine, _ = (axis.ravel() for axis in np.indices((6, 3, 3)))
    data = pandas.DataFrame({"score": published.MACHINES, "worker": worker, "machine": machine})
    parts = {"machine": "0 + C(machine)"}
    model = MixedLM.from_formula("score ~ C(machine)", groups="worker", re_formula="1", vc_formula=parts, data=data)
    theirs = model.fit(reml=True)
    assert math.sqrt(theirs.cov_re.iloc[0, 0]) == pytest.approx(4.78105, rel=1e-3)
    assert math.sqrt(theirs.vcomp[0]) == pytest.approx(3.729532, rel=1e-3)
    assert math.sqrt(theirs.scale) == pytest.approx(0.961577, rel=1e-3)


def test_a_new_group_has_no_interval_in_statsmodels() -> None:
    assert not hasattr(mixed_model(published.RAIL, 3), "get_prediction")


def test_censored_lognormals_agree_with_lifelines() -> None:
    days = np.array(published.LUNG_DAYS, dtype=float)
    died = np.array([each == "1" for each in published.LUNG_DIED])
    theirs = LogNormalFitter().fit(days, died)
    ours = fit_lognormal(days[died].tolist(), days[~died].tolist())
    assert ours.mean == pytest.approx(theirs.mu_, abs=1e-4)
    assert ours.sd == pytest.approx(theirs.sigma_, abs=1e-4)
    variances = theirs.variance_matrix_
    assert ours.covariance[0, 0] == pytest.approx(variances.iloc[0, 0], rel=1e-2)
    assert ours.covariance[1, 1] == pytest.approx(variances.iloc[1, 1], rel=1e-2)
