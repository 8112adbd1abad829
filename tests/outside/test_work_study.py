"""Work-study sample sizes and allowances, each in both published conventions."""

from __future__ import annotations

import statistics

import pytest

from sparehand.ground.errors import InputError
from sparehand.labour.forecasting.allowance import with_allowance
from sparehand.labour.judging.sample_size import observations


def test_textbook_observations() -> None:
    """N = (40 sqrt(n sum x2 - (sum x)2) / sum x)2 on 7, 6, 7, 7, 6 gives 8.815 (textbook example)."""
    times = [7, 6, 7, 7, 6]
    assert observations(statistics.mean(times), statistics.pstdev(times), z=2) == 9


def test_observations_by_the_sample_sd() -> None:
    """z 1.96, h 0.05 on 3.5, 3.2, 4.1, 3.6, 3.9 gives 14.1 (published example)."""
    times = [3.5, 3.2, 4.1, 3.6, 3.9]
    assert observations(statistics.mean(times), statistics.stdev(times)) == 15


def test_observations_at_99_percent() -> None:
    """z 2.58, s 1.28, mean 3.2, h 0.05 gives 426 (published example)."""
    assert observations(3.2, 1.28, z=2.58) in (426, 427)


def test_allowance_in_both_conventions() -> None:
    """Normal 77.8 with 15 %: of the day 91.53, of the time 89.47 (published examples of each)."""
    assert with_allowance(77.8, 15, "of the day") == pytest.approx(91.53, abs=5e-3)
    assert with_allowance(77.8, 15, "of the time") == pytest.approx(89.47, abs=5e-3)
    assert with_allowance(77.8, None) == 77.8


def test_an_allowance_of_the_whole_day_is_refused() -> None:
    with pytest.raises(InputError, match="less than 100"):
        with_allowance(1.0, 100, "of the day")
