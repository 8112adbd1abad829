"""Unfinished phases say "longer than this": their sites agree with integration, and leaving them out biases."""

from __future__ import annotations

import numpy as np
import pytest

from labour.examples import job, make_quote, procedure
from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.fitting.censoring import refine_sites
from sparehand.labour.fitting.effect_layout import Layout
from sparehand.labour.fitting.equations import equations
from sparehand.labour.fitting.priors import SHOP, Priors
from sparehand.labour.fitting.solver import solve
from sparehand.labour.forecasting.quote_records import QuoteRequest
from sparehand.times.job_times import JobTimes
from sparehand.times.sample import Plans, clean_jobs

LOG_SDS = np.log([[1e-6, 1e-6, 1e-6, 1e-6, 0.3, 1e-6]])
"""Everything but the shop's level and the residual spread is switched off, so that one integral remains."""

ASKED = QuoteRequest(procedure="front-end", operations=("renew-link",), sides=("left",))


def level_by_sites(jobs: list[JobTimes]) -> tuple[float, float]:
    priors = Priors()
    layout = Layout((), {"front-end": ("access",)}, Plans({("front-end", "access"): 1200.0}), priors)
    problem = equations(layout, Evidence(rows=clean_jobs(jobs)))
    alike = problem.no_differences
    for _ in range(20):
        problem = refine_sites(problem, solve(problem, LOG_SDS, alike), alike)
    solution = solve(problem, LOG_SDS, alike)
    return float(solution.mean[0, 0, SHOP]), float(np.sqrt(solution.covariance[0, 0, SHOP, SHOP]))


def level_by_integration(finished: list[float], unfinished: list[float]) -> tuple[float, float]:
    from scipy.stats import norm

    grid = np.linspace(-2, 2, 20_001)
    log = norm.logpdf(grid, 0, Priors().shop.sd)
    for minutes in finished:
        log += norm.logpdf(np.log(minutes / 20), grid, 0.3)
    for minutes in unfinished:
        log += norm.logsf(np.log(minutes / 20), grid, 0.3)
    weights = np.exp(log - log.max())
    weights /= weights.sum()
    mean = float(weights @ grid)
    return mean, float(np.sqrt(weights @ (grid - mean) ** 2))


@pytest.mark.parametrize(
    ("finished", "unfinished"), [([20.0], [30.0]), ([18.0, 22.0, 25.0], [10.0, 28.0]), ([], [15.0]), ([], [60.0])]
)
def test_sites_agree_with_integration(finished: list[float], unfinished: list[float]) -> None:
    jobs = [job(n, {"access": minutes}) for n, minutes in enumerate(finished)]
    jobs += [job(50 + n, {"access": minutes}, unfinished=("access",)) for n, minutes in enumerate(unfinished)]
    mean, sd = level_by_sites([one_repetition(each, n) for n, each in enumerate(jobs)])
    exact_mean, exact_sd = level_by_integration(finished, unfinished)
    assert mean == pytest.approx(exact_mean, abs=0.01)
    assert sd == pytest.approx(exact_sd, rel=0.03)


def one_repetition(each: JobTimes, number: int) -> JobTimes:
    """The same job by someone who has never done it, so that learning does not enter."""
    parts = tuple(part.model_copy(update={"technician": f"t{number}"}) for part in each.phases)
    return each.model_copy(update={"phases": parts})


def cut_short(count: int) -> tuple[list[JobTimes], list[JobTimes]]:
    """Jobs of which the slow ones are left before the long phase is over; and the same jobs without those."""
    jobs, kept = [], []
    for number in range(count):
        minutes = 30.0 * (0.7, 0.85, 1.0, 1.2, 1.5)[number % 5]
        slow = minutes > 32
        made = job(
            number,
            {"access": 20.0, "link/left": min(minutes, 32.0)} | ({} if slow else {"refit": 25.0}),
            unfinished=("link/left",) if slow else (),
            technician=("ana", "ben")[number % 2],
        )
        jobs.append(made)
        if not slow:
            kept.append(made)
    return jobs, kept


def test_leaving_unfinished_jobs_out_would_quote_too_little() -> None:
    jobs, kept = cut_short(40)
    link = [make_quote(ASKED, procedure(), some).phases[1].median_minutes for some in (jobs, kept)]
    assert link[0] == pytest.approx(30, rel=0.07)
    assert link[1] < 0.9 * link[0]
