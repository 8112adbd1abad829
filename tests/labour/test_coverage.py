"""A bounded part of the measurement in docs/estimates.md: ranges hold about what they say, and no rival does better.

The full run is tests/bench/labour_coverage.py. With so few shops the limits are wide; the seeds are fixed.
"""

from __future__ import annotations

import pytest

from labour.coverage import Outcome, measure, summarise
from labour.simulated_shops import WORLDS, World

SHOPS, TESTS, DRAWS, SIZES = range(1000, 1060), 6, 1024, (1, 10)
BY_NAME = {world.name: world for world in WORLDS}


def outcomes(world: World) -> list[Outcome]:
    return list(measure(world, SIZES, SHOPS, TESTS, DRAWS))


@pytest.mark.parametrize("name", ["own priors", "plausible ranges", "all at once"])
def test_four_in_five_ranges_hold_about_four_in_five(name: str) -> None:
    found = outcomes(BY_NAME[name])
    for size in SIZES:
        summary = summarise(name, size, found)
        assert 68 <= summary.held_80 <= 92
        assert summary.below < 22
        assert summary.above < 22
        assert summary.score_shares["plan"] < 1
        assert summary.score_shares["mean"] < 1
        assert summary.score_shares["last job"] < 1
        assert summary.score_shares["normal-gamma"] < 1.05


def test_the_same_seeds_give_the_same_shops() -> None:
    world = BY_NAME["all at once"]
    first, second = (list(measure(world, (3,), range(2), 2, 256)) for _ in range(2))
    assert first == second


def test_a_steady_change_of_the_level_is_followed_a_fortnight_ahead() -> None:
    """With a walk alone 60 % held in these shops, and the figure was run over 15 points less often than stated."""
    found = summarise("", 100, list(measure(BY_NAME["1 % faster a job"], (100,), range(2000, 2020), 12, 512)))
    assert found.held_80 > 70
    assert found.stated_over - found.over < 11
    assert found.score_shares["past totals"] < 0.5
