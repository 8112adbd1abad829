"""A quote is warned and widened only where its own past forecasts failed beyond chance."""

from __future__ import annotations

import numpy as np
from scipy.stats import norm

from labour.examples import job, link_jobs, procedure
from labour.simulated_shops import WORLDS, open_shop
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.judging.recent_forecasts import recent_widening
from sparehand.labour.judging.rivals import RIVALS
from sparehand.labour.judging.verdict import LEAST, OURS, Judged, advice, findings, widening_of
from sparehand.times.job_times import JobTimes
from sparehand.times.sample import Plans, clean_jobs

EVEN = (np.arange(40) + 0.5) / 40


def judged(places: np.ndarray, rival: float = 2.0) -> list[Judged]:
    """Forecasts whose outcomes fell at those places, each rival's loss about that many times the model's."""
    return [
        Judged(float(place), {OURS: 1.0, **dict.fromkeys(RIVALS, rival + 0.1 * (n % 3))}, {})
        for n, place in enumerate(places)
    ]


def test_forecasts_that_held_neither_warn_nor_widen() -> None:
    assert widening_of(judged(EVEN)).factor == 1.0
    assert widening_of(judged(EVEN)).why == ""
    assert advice(judged(EVEN)).startswith("Quote by these figures")


def test_too_few_forecasts_say_nothing_for_sure() -> None:
    assert widening_of(judged(np.full(19, 0.99))).factor == 1.0
    assert advice(judged(np.full(19, 0.99))).startswith("Time more jobs")


def test_ranges_that_held_too_seldom_widen_by_how_far_outcomes_were_off() -> None:
    twice_as_far = norm.cdf(2 * norm.ppf(EVEN))
    widened = widening_of(judged(twice_as_far))
    assert 1.6 < widened.factor < 2.0
    assert "fell inside the range meant for 80%" in widened.why
    assert "\n" not in widened.why
    assert "smaller risk" in advice(judged(twice_as_far))


def test_a_drift_and_a_better_rival_are_named() -> None:
    later = norm.cdf(norm.ppf(EVEN) + 0.8)
    assert findings(judged(later)).off == "longer"
    assert "took longer than forecast" in widening_of(judged(later)).why
    assert "changed" in advice(judged(later))
    beaten = widening_of(judged(EVEN, rival=0.5))
    assert beaten.factor == LEAST, "a simpler forecast was better, so the model misses something"
    assert "'plan' forecast them better" in beaten.why
    assert "Compare each quote with 'plan'" in advice(judged(EVEN, rival=0.5))
    assert widening_of(judged(0.3 + 0.4 * EVEN, rival=0.5)).factor == 1.0, "a range that always held is wide enough"


def of_latest(jobs: list[JobTimes]) -> float:
    return recent_widening(clean_jobs(jobs, [procedure()]), Plans.of([procedure()]), Priors()).factor


def test_a_shop_whose_jobs_suddenly_differ_more_is_widened_and_a_steady_one_is_not() -> None:
    assert of_latest(link_jobs(60)) == 1.0
    wild = [job(40 + n, {"access": (8, 50)[n % 2], "link/left": (12, 80)[n % 2], "refit": 25}) for n in range(30)]
    assert of_latest([*link_jobs(40), *wild]) > 1.2


def test_ordinary_shops_are_seldom_widened() -> None:
    world = next(world for world in WORLDS if world.name == "plausible ranges")
    factors = []
    for seed in range(6):
        shop = open_shop(world, 7000 + seed)
        jobs = clean_jobs([shop.job(number) for number in range(45)])
        factors.append(recent_widening(jobs, shop.plans, Priors()).factor)
    assert sum(factor > 1 for factor in factors) <= 1
