"""Tolerance limits against the published tables."""

from __future__ import annotations

import pytest

from sparehand.labour.judging.tolerance import free_limit, jobs_for_limit, normal_factor


@pytest.mark.parametrize(
    ("share", "confidence", "count"),
    [(0.95, 0.95, 59), (0.90, 0.90, 22), (0.90, 0.95, 29), (0.95, 0.90, 45), (0.99, 0.95, 299)],
)
def test_wilks_one_sided(share: float, confidence: float, count: int) -> None:
    """Wilks 1941, Ann. Math. Statist. 12:91."""
    assert jobs_for_limit(share, confidence) == count


@pytest.mark.parametrize(("share", "confidence", "count"), [(0.95, 0.95, 93), (0.90, 0.90, 38)])
def test_wilks_two_sided(share: float, confidence: float, count: int) -> None:
    """Wilks 1941, Ann. Math. Statist. 12:91."""
    assert jobs_for_limit(share, confidence, two_sided=True) == count


@pytest.mark.parametrize(
    ("count", "factor"),
    [(2, 26.260), (3, 7.656), (5, 4.203), (10, 2.911), (20, 2.396), (30, 2.220), (50, 2.065), (100, 1.927)],
)
def test_normal_factor_95_95(count: int, factor: float) -> None:
    """The one-sided k table for 95/95 (from memory; recomputed by the noncentral t)."""
    assert normal_factor(count, 0.95, 0.95) == pytest.approx(factor, abs=6e-4)


def test_the_longest_of_59_is_the_limit_and_of_58_is_not_enough() -> None:
    hours = [float(number) for number in range(1, 60)]
    assert free_limit(hours, 0.95, 0.95) == 59
    assert free_limit(hours[:58], 0.95, 0.95) is None
