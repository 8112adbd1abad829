"""How many more jobs, and what may be promised of nearly all."""

from __future__ import annotations

import pytest

from labour.examples import job, link_jobs, procedure
from sparehand.labour.forecasting.quote_records import QuoteRequest
from sparehand.labour.judging.sample_size import sample_size

LINK = QuoteRequest(procedure="front-end", operations=("renew-link",), sides=("left",))


def test_without_jobs_it_uses_the_default_spread_and_says_so() -> None:
    answer = sample_size(LINK, procedure(), [])
    assert (answer.jobs, answer.log_sd) == (0, 0.43)
    assert answer.log_sd_is.startswith("the default")
    assert answer.needed[0].more_jobs == answer.needed[0].textbook == 311
    assert answer.nearly_all.distribution_free_hours is None
    assert answer.nearly_all.distribution_free_needs_jobs == 299


def test_steadier_work_needs_fewer_jobs_and_a_wider_margin_fewer_still() -> None:
    answer = sample_size(LINK, procedure(), link_jobs(10))
    five, ten = answer.needed
    assert (five.within, ten.within) == (0.05, 0.10)
    assert ten.more_jobs <= five.more_jobs < 311


def test_nearly_all_lies_above_every_ordinary_job() -> None:
    jobs = [job(n, {"access": 20 + n % 5, "link/left": 30 + n % 7, "refit": 25}) for n in range(12)]
    answer = sample_size(LINK, procedure(), jobs)
    assert answer.nearly_all.lognormal_hours is not None
    assert answer.nearly_all.lognormal_hours > (24 + 36 + 25) / 60


def test_unfinished_jobs_are_not_counted() -> None:
    cut = job(50, {"access": 20, "link/left": 3}, unfinished=("link/left",))
    assert sample_size(LINK, procedure(), [*link_jobs(4), cut]).jobs == 4


@pytest.mark.parametrize("count", [1, 2])
def test_one_or_equal_jobs_do_not_break_it(count: int) -> None:
    jobs = [job(n, {"access": 20, "link/left": 30, "refit": 25}) for n in range(count)]
    assert sample_size(LINK, procedure(), jobs).needed[0].textbook > 0
