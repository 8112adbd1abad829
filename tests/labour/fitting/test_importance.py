"""Importance points are even and their weights never collapse onto one."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, strategies as st

from sparehand.labour.fitting.importance import FEWEST, effective_number, even_t_steps, steady_weights


def test_good_weights_are_left_as_they_are() -> None:
    logs = np.log(np.array([1.0, 2.0, 3.0, 2.0, 1.0, 2.0]))
    np.testing.assert_allclose(steady_weights(logs), np.exp(logs) / np.exp(logs).sum())


@given(st.lists(st.floats(-1e6, 1e6) | st.just(float("-inf")) | st.just(float("nan")), min_size=5, max_size=40))
def test_any_logs_give_finite_weights_that_add_up_and_leave_a_few_points(logs: list[float]) -> None:
    weights = steady_weights(np.array(logs))
    assert np.isfinite(weights).all()
    assert weights.sum() == pytest.approx(1)
    usable = int(np.isfinite(logs).sum()) or len(logs)
    assert effective_number(weights) >= min(FEWEST, usable) * 0.99


def test_points_have_the_spread_of_a_t() -> None:
    steps = even_t_steps(4000, 5, 6.0)
    np.testing.assert_allclose(np.median(steps, axis=0), 0, atol=0.03)
    np.testing.assert_allclose(steps.std(axis=0), np.sqrt(6 / 4), rtol=0.05)
    assert np.abs(np.corrcoef(steps.T) - np.eye(5)).max() < 0.05
