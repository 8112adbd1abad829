"""Learning curves against published tables: Crawford's unit curve and Wright's cumulative average are not the same."""

from __future__ import annotations

import pytest

from sparehand.labour.forecasting.learning import crawford_total, crawford_unit, wright_average, wright_total


def test_crawford_units_at_80_percent() -> None:
    """100, 80, 64, 51.2 for units 1, 2, 4, 8."""
    assert [crawford_unit(100, 0.8, number) for number in (1, 2, 4, 8)] == pytest.approx([100, 80, 64, 51.2])


@pytest.mark.parametrize(
    ("count", "crawford", "wright"),
    [(10, 6.3154, 4.7651), (20, 10.4849, 7.6242), (50, 20.1217, 14.1914), (100, 32.6508, 22.7062)],
)
def test_totals_at_80_percent(count: int, crawford: float, wright: float) -> None:
    """Recomputed from both definitions."""
    assert crawford_total(1, 0.8, count) == pytest.approx(crawford, abs=1e-4)
    assert wright_total(1, 0.8, count) == pytest.approx(wright, abs=1e-4)


@pytest.mark.parametrize(("count", "total"), [(2, 160), (4, 256), (8, 409.6), (16, 655.36)])
def test_wright_table(count: int, total: float) -> None:
    """Published table, first unit 100, 80 % (Wright 1936)."""
    assert wright_total(100, 0.8, count) == pytest.approx(total)
    assert wright_average(100, 0.8, count) == pytest.approx(total / count)
