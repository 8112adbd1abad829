"""Back-tests look only backwards, and say plainly who forecast better."""

from __future__ import annotations

import numpy as np
import pytest

from labour.examples import job, link_jobs, procedure
from sparehand.ground.errors import InputError
from sparehand.labour.judging.backtest import backtest
from sparehand.labour.judging.rivals import RIVALS, WholeJob, rival_draws
from sparehand.labour.judging.scores import binomial_limits, coverage_of, crps, pinball, place_in
from sparehand.labour.judging.verdict import OURS


def test_every_forecast_is_scored_and_the_outcomes_counted() -> None:
    result = backtest("front-end", link_jobs(12), [procedure()])
    assert result.jobs == 12
    assert [row.forecast for row in result.scores] == [OURS, *RIVALS]
    assert sum(result.pit) == 12
    assert [row.nominal for row in result.coverage] == [0.5, 0.8, 0.9]
    assert "too few" in result.verdict


def test_unfinished_jobs_teach_but_are_not_scored() -> None:
    cut = job(20, {"access": 20, "link/left": 5}, unfinished=("link/left",))
    result = backtest("front-end", [*link_jobs(4), cut], [procedure()])
    assert (result.jobs, result.unfinished) == (4, 1)


def test_a_later_job_cannot_change_an_earlier_forecast() -> None:
    short, long = link_jobs(5), link_jobs(6)
    before = backtest("front-end", short, [procedure()])
    tampered = [*long[:5], job(30, {"access": 400, "link/left": 500, "refit": 300})]
    after = backtest("front-end", tampered, [procedure()])
    assert sum(np.subtract(after.pit, before.pit)) == 1
    assert all(np.subtract(after.pit, before.pit) >= 0)


def test_it_says_plainly_when_a_rival_wins() -> None:
    """Every job takes exactly one and a half times its plan: repeating the last job cannot be beaten."""
    jobs = [job(n, {"access": 30, "link/left": 45, "refit": 37.5}) for n in range(12)]
    assert backtest("front-end", jobs, [procedure()]).verdict.startswith("A rival wins: ")


def test_nothing_finished_is_one_clear_line() -> None:
    with pytest.raises(InputError, match="no finished job"):
        backtest("front-end", [], [procedure()])


def test_crps_is_the_absolute_error_of_a_point_and_the_published_form_of_a_sample() -> None:
    assert crps(np.array([3.0]), 5.0) == 2.0
    draws = np.array([1.0, 2.0, 4.0])
    direct = np.mean(np.abs(draws - 2.5)) - np.mean(np.abs(draws[:, None] - draws)) / 2
    assert crps(draws, 2.5) == pytest.approx(direct)


def test_pinball_and_place() -> None:
    assert pinball(10.0, 0.9, 12.0) == pytest.approx(1.8)
    assert pinball(10.0, 0.9, 8.0) == pytest.approx(0.2)
    assert place_in(np.array([1.0, 2.0, 3.0, 4.0]), 2.0) == 0.375


def test_coverage_and_its_limits() -> None:
    places = [(number + 0.5) / 100 for number in range(100)]
    held = {row.nominal: row.held for row in coverage_of(places)}
    assert held == {0.5: 0.5, 0.8: 0.8, 0.9: 0.9}
    low, high = binomial_limits(0.8, 100)
    assert (low, high) == (0.72, 0.88)


def test_rivals_repeat_the_plan_at_first_and_then_the_ratios() -> None:
    for rival in RIVALS:
        assert np.median(rival_draws(rival, [], 2.0)) == pytest.approx(2.0)
    earlier = [WholeJob(1.0, 1.0), WholeJob(2.0, 1.0), WholeJob(6.0, 2.0)]
    assert rival_draws("mean", earlier, 2.0) == pytest.approx([4.0])
    assert rival_draws("median", earlier, 2.0) == pytest.approx([4.0])
    assert rival_draws("last job", earlier, 2.0) == pytest.approx([6.0])
    assert rival_draws("past totals", earlier, 2.0) == pytest.approx([2.0, 4.0, 6.0])
