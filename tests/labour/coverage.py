"""Forecasts of invented shops' jobs set beside what happened: the measure of whether ranges hold what they say."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from labour.simulated_shops import PROCEDURE, Shop, TestJob, World, open_shop
from sparehand.labour.evidence.shop_evidence import gather_evidence
from sparehand.labour.fitting.arrays import Floats
from sparehand.labour.fitting.effect_layout import Setting
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.forecasting.forecast import Knowledge, forecast, forecast_plan, learn
from sparehand.labour.forecasting.quote import flat_rate
from sparehand.labour.judging.rivals import RIVALS, WholeJob, rival_draws
from sparehand.labour.judging.scores import crps, place_in
from sparehand.labour.judging.whole_jobs import finished_jobs
from sparehand.times.job_times import JobTimes
from sparehand.times.sample import clean_jobs

RISK = 0.3
JOBS_OF_OTHERS = 10


@dataclass(frozen=True)
class Outcome:
    """One job forecast: where it fell, how good the forecast was beside its rivals', whether the figure ran over."""

    shop: int
    size: int
    place: float
    score: float
    rival_scores: tuple[float, ...]
    stated_over: float
    over: bool
    width: float


@dataclass(frozen=True)
class Summary:
    """Averages over shops, in percent; the errors of `held_80` and `over` are Monte Carlo standard errors."""

    world: str
    size: int
    jobs: int
    held_50: float
    held_80: float
    held_90: float
    error: float
    below: float
    above: float
    stated_over: float
    over: float
    over_error: float
    score_shares: dict[str, float]
    width: float


def measure(
    world: World, sizes: Sequence[int], shops: range, tests: int, draws: int, others: int = 0
) -> Iterator[Outcome]:
    """Forecast `tests` jobs of each shop from its first `size` jobs, for every size in rising order.

    With `others` the shop has besides timed JOBS_OF_OTHERS jobs of each of so many other procedures.
    """
    for seed in shops:
        shop, jobs = open_shop(world, seed, others=others), list[JobTimes]()
        elsewhere = [other.job(number) for other in shop.others for number in range(JOBS_OF_OTHERS)]
        for size in sizes:
            jobs.extend(shop.job(number) for number in range(len(jobs), size))
            sample = clean_jobs([*elsewhere, *jobs])
            known = (
                learn(gather_evidence(sample, shop.plans), PROCEDURE, list(shop.typical), shop.plans, Priors())
                if sample
                else None
            )
            whole_jobs = {job.job for job in jobs if shop.finished(job)}
            earlier = finished_jobs((job for job in sample if job.job in whole_jobs), shop.plans)
            for ahead in range(tests):
                yield _outcome(seed, size, shop, ahead, known, earlier, draws)


def summarise(world: str, size: int, outcomes: Sequence[Outcome]) -> Summary:
    """The averages of one world at one size."""
    some = [outcome for outcome in outcomes if outcome.size == size]
    off = np.abs(np.array([outcome.place for outcome in some]) - 0.5)
    shops = np.array([outcome.shop for outcome in some])
    ran_over = np.array([outcome.over for outcome in some])
    own = float(np.mean([outcome.score for outcome in some]))
    rivals = np.mean([outcome.rival_scores for outcome in some], axis=0)
    return Summary(
        world=world,
        size=size,
        jobs=len(some),
        held_50=100 * float(np.mean(off <= 0.25)),
        held_80=100 * float(np.mean(off <= 0.4)),
        held_90=100 * float(np.mean(off <= 0.45)),
        error=100 * _error(off <= 0.4, shops),
        below=100 * float(np.mean([outcome.place < 0.1 for outcome in some])),
        above=100 * float(np.mean([outcome.place > 0.9 for outcome in some])),
        stated_over=100 * float(np.mean([outcome.stated_over for outcome in some])),
        over=100 * float(np.mean(ran_over)),
        over_error=100 * _error(ran_over, shops),
        score_shares={rival: own / float(score) for rival, score in zip(RIVALS, rivals, strict=True)},
        width=float(np.median([outcome.width for outcome in some])),
    )


def _error(hits: NDArray[np.bool_], shops: NDArray[np.int64]) -> float:
    """The standard error of the share of hits, each shop's forecasts taken together."""
    by_shop = np.array([np.mean(hits[shops == shop]) for shop in np.unique(shops)])
    return float(by_shop.std(ddof=1) / np.sqrt(len(by_shop)))


def _outcome(
    seed: int, size: int, shop: Shop, ahead: int, known: Knowledge | None, earlier: Sequence[WholeJob], draws: int
) -> Outcome:
    job = shop.test_job(size + ahead)
    hours = _forecast(shop, known, job, ahead + 1.0, draws)
    figure = flat_rate(hours, RISK)
    low, high = np.quantile(hours, (0.1, 0.9))
    return Outcome(
        shop=seed,
        size=size,
        place=place_in(hours, job.hours),
        score=crps(hours, job.hours),
        rival_scores=tuple(crps(rival_draws(rival, earlier, job.planned_hours), job.hours) for rival in RIVALS),
        stated_over=float(np.mean(hours > figure)),
        over=job.hours > figure,
        width=float(high / low),
    )


def _forecast(shop: Shop, known: Knowledge | None, job: TestJob, days_ahead: float, draws: int) -> Floats:
    setting = Setting(job.corrosion, job.support, days_ahead=days_ahead)
    if known is None:
        return forecast_plan(job.needs, PROCEDURE, shop.plans, setting, Priors()).total_hours
    return forecast(known, job.needs, setting, job.technician, draws).total_hours
