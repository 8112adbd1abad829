"""The model's learning term is Crawford's unit curve: each repetition, not the average so far, follows it."""

from __future__ import annotations

import math

import pytest

from sparehand.times.sample import doublings_of


def test_crawford_units_at_80_percent() -> None:
    """100, 80, 64, 51.2 for units 1, 2, 4, 8 (published table of Crawford's curve)."""
    units = [100 * math.exp(math.log(0.8) * doublings_of(repetition)) for repetition in (1, 2, 4, 8)]
    assert units == pytest.approx([100, 80, 64, 51.2])
