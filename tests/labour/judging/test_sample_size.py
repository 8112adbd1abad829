"""How many more jobs, and what may be promised of nearly all."""

from __future__ import annotations

import pytest

from labour.examples import job, link_jobs, procedure
from sparehand.labour.forecasting.quote_records import QuoteRequest
from sparehand.labour.judging.sample_size import sample_size
from sparehand.times.job_times import JobTimes

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


def test_operations_asked_for_count_the_jobs_that_had_them_and_only_their_phases() -> None:
    both = [
        job(
            100 + n,
            {"access": 20, "link/left": 30, "joint/left": 90 + 9 * n, "refit": 25},
            operations=("renew-link", "renew-joint"),
        )
        for n in range(3)
    ]
    joint = LINK.model_copy(update={"operations": ("renew-joint",)})
    assert sample_size(joint, procedure(), [*link_jobs(7), *both]).jobs == 3
    link = sample_size(LINK, procedure(), [*link_jobs(7), *both])
    assert link.jobs == 10
    assert link.log_sd < 0.1, "the joint, which takes twice its plan, is no part of renewing the link"


def test_phases_of_seconds_are_not_trusted() -> None:
    steady = [job(n, {"access": 20, "link/left": 30, "refit": 25 + n % 3}) for n in range(12)]
    clicked = job(50, {"access": 20, "link/left": 0.05, "refit": 25})
    assert sample_size(LINK, procedure(), [*steady, clicked]).log_sd == pytest.approx(
        sample_size(LINK, procedure(), steady).log_sd, abs=0.02
    )


@pytest.mark.parametrize(
    ("jobs", "says"),
    [
        ([], "Time 82 more such jobs, then the usual time is known within 10%; within 5% it is after 311."),
        (link_jobs(4), "more jobs would change little."),
    ],
)
def test_one_sentence_says_what_to_do(jobs: list[JobTimes], says: str) -> None:
    assert sample_size(LINK, procedure(), jobs).advice.endswith(says)


@pytest.mark.parametrize("count", [1, 2])
def test_one_or_equal_jobs_do_not_break_it(count: int) -> None:
    jobs = [job(n, {"access": 20, "link/left": 30, "refit": 25}) for n in range(count)]
    assert sample_size(LINK, procedure(), jobs).needed[0].textbook > 0
