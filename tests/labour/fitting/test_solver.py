"""The inner problem is exact, its gradient is the derivative, and additive statistics lose nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from labour.examples import job
from sparehand.labour.evidence.shop_evidence import Evidence, both, sums_of
from sparehand.labour.fitting.effect_layout import Layout
from sparehand.labour.fitting.equations import Equations, equations, job_rows
from sparehand.labour.fitting.priors import JOB, RESIDUAL, Priors
from sparehand.labour.fitting.solver import gradient, phase_scatter, solve, solve_own, solve_shared
from sparehand.labour.fitting.time_blocks import time_blocks
from sparehand.times.sample import Plans, SampleJob, clean_jobs

LOG_SDS = np.log([[0.1, 0.3, 0.15, 0.14, 0.25, 0.02, 0.8, 0.04]])
PLANS = Plans({("front-end", "access"): 1200.0, ("other", "access"): 900.0, ("other", "link"): 1500.0})
DIFFERENCES = np.array([[0.5, -0.4, 0.0, 0.9], [-0.7, 0.2, 0.6, 0.0]])
"""Of the residual log spreads of the phases of both procedures."""


def some_jobs(count: int) -> tuple[SampleJob, ...]:
    rng = np.random.default_rng(7)
    names = ("access", "link/left", "link/right", "refit", "joint/left")
    jobs = []
    for number in range(count):
        minutes = {name: float(25 * np.exp(0.4 * rng.standard_normal())) for name in names[: 2 + number % 4]}
        jobs.append(
            job(
                number,
                minutes,
                technician=("ana", "ben")[number // 2 % 2],
                procedure=("front-end", "other")[number % 2],
                corrosion=("none", "light", "heavy", "unknown")[number % 4],
                support=("lift", "stands")[number // 3 % 2],
            )
        )
    return clean_jobs(jobs)


SOME_JOBS = some_jobs(24)
LAYOUT = Layout(
    ("ana", "ben"),
    {"front-end": ("access", "link", "refit", "joint"), "other": ("access", "link", "refit", "joint")},
    PLANS,
    Priors(),
    time_blocks(Evidence(rows=SOME_JOBS)),
)


def half_trusted(jobs: tuple[SampleJob, ...]) -> list[SampleJob]:
    return [
        replace(each, cells=tuple(replace(c, weight=0.5 if n % 2 else 1.0) for n, c in enumerate(each.cells)))
        for each in jobs
    ]


def dense_evidence(problem: Equations, jobs: tuple[SampleJob, ...]) -> float:
    """The log density of all logs written out as one big normal, constants of 2 pi left out."""
    shared, own = problem.shared, problem.own
    width = shared + own * len(LAYOUT.procedures)
    x, y, owner = [], [], []
    v, u = np.exp(2 * LOG_SDS[0, [RESIDUAL, JOB]])
    variances = []
    for number, each in enumerate(jobs):
        pattern = tuple((cell.phase, cell.second) for cell in each.cells)
        rows = job_rows(LAYOUT, each, LAYOUT.phase_rows(each.procedure, pattern))
        logs = np.log([cell.seconds for cell in each.cells]) - LAYOUT.references(each.procedure, pattern)
        own_place = LAYOUT.procedures.index(each.procedure)
        variances.extend(v * np.exp(2 * DIFFERENCES[own_place, LAYOUT.places(each.procedure, pattern)]))
        start = shared + own * own_place
        for row, log in zip(rows, logs, strict=True):
            wide = np.zeros(width)
            wide[:shared], wide[start : start + own] = row[:shared], row[shared:]
            x.append(wide)
            y.append(log)
            owner.append(number)
    design, places = np.array(x), np.array(owner)
    mean, sds = [], []
    for means, fixed, groups in (problem.shared_prior, problem.own_prior):
        mean.append(means.ravel())
        sds.append(np.where(groups >= 0, np.exp(LOG_SDS[0])[np.clip(groups, 0, None)], fixed).ravel())
    prior_mean, prior_sd = np.concatenate(mean), np.concatenate(sds)
    noise = np.diag(variances) + u * (places[:, None] == places)
    covariance = design @ np.diag(prior_sd**2) @ design.T + noise
    rest = np.array(y) - design @ prior_mean
    return float(-0.5 * (np.linalg.slogdet(covariance)[1] + rest @ np.linalg.solve(covariance, rest)))


def test_evidence_is_that_of_the_whole_normal() -> None:
    jobs = SOME_JOBS
    problem = equations(LAYOUT, Evidence(sums=sums_of(jobs)))
    assert solve(problem, LOG_SDS, DIFFERENCES).evidence[0] == pytest.approx(dense_evidence(problem, jobs), abs=1e-9)


def test_additive_statistics_say_exactly_what_the_rows_say() -> None:
    jobs = SOME_JOBS
    by_totals, by_rows = equations(LAYOUT, Evidence(sums=sums_of(jobs))), equations(LAYOUT, Evidence(rows=tuple(jobs)))
    ours, theirs = solve(by_totals, LOG_SDS, DIFFERENCES), solve(by_rows, LOG_SDS, DIFFERENCES)
    assert ours.evidence[0] == pytest.approx(theirs.evidence[0], abs=1e-9)
    np.testing.assert_allclose(ours.mean, theirs.mean, atol=1e-10)
    np.testing.assert_allclose(ours.covariance, theirs.covariance, atol=1e-10)
    np.testing.assert_allclose(gradient(by_totals, ours), gradient(by_rows, theirs), atol=1e-9)


@pytest.mark.parametrize("kept", ["none", "half trusted"])
def test_gradient_is_the_derivative(kept: str) -> None:
    jobs = SOME_JOBS
    rows = half_trusted(jobs[:8]) if kept == "half trusted" else []
    problem = equations(LAYOUT, Evidence(sums=sums_of(jobs[8:]), rows=tuple(rows)))
    exact, step = gradient(problem, solve(problem, LOG_SDS, DIFFERENCES))[0], 1e-5
    shifts = step * np.eye(LOG_SDS.size)
    ahead, back = (solve(problem, LOG_SDS + sign * shifts, DIFFERENCES).evidence for sign in (1, -1))
    np.testing.assert_allclose(exact, (ahead - back) / (2 * step), rtol=1e-5, atol=1e-6)
    times, scatter = phase_scatter(problem, solve(problem, LOG_SDS, DIFFERENCES))
    for place in np.ndindex(*DIFFERENCES.shape):
        shift = np.zeros_like(DIFFERENCES)
        shift[place] = step
        up, down = (solve(problem, LOG_SDS, DIFFERENCES + sign * shift).evidence[0] for sign in (1, -1))
        assert (scatter - times)[place] == pytest.approx((up - down) / (2 * step), rel=1e-5, abs=1e-6)


def test_the_shared_effects_first_and_one_procedure_given_them_are_all_at_once() -> None:
    jobs = SOME_JOBS
    evidence = Evidence(sums=sums_of(jobs[8:]), rows=tuple(half_trusted(jobs[:8])))
    many = LOG_SDS + np.linspace(-0.5, 0.5, 7)[:, None]
    found, shared = solve_shared(equations(LAYOUT, evidence), many, DIFFERENCES)
    only = replace(LAYOUT, phases={"other": LAYOUT.phases["other"]})
    own = solve_own(equations(only, evidence.of("other")), shared, DIFFERENCES[1:])
    for row, log_sds in enumerate(many):
        alone = solve(equations(LAYOUT, evidence), log_sds[None], DIFFERENCES)
        assert found[row] == pytest.approx(alone.evidence[0])
        np.testing.assert_allclose(own.mean[row, 0], alone.mean[0, 1], rtol=1e-6, atol=1e-9)
        np.testing.assert_allclose(own.covariance[row, 0], alone.covariance[0, 1], rtol=1e-6, atol=1e-9)


def test_sums_add_up_job_by_job() -> None:
    jobs = SOME_JOBS
    whole = equations(LAYOUT, Evidence(sums=sums_of(jobs)))
    parts = equations(LAYOUT, Evidence(sums=both(sums_of(jobs[:12]), sums_of(jobs[12:]))))
    for name, value in vars(whole.patterns).items():
        np.testing.assert_allclose(getattr(parts.patterns, name), value, atol=1e-9, err_msg=name)
