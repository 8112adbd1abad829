"""The inner problem is exact, its gradient is the derivative, and additive statistics lose nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from labour.examples import job
from sparehand.labour.evidence.additive_statistics import gather
from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.fitting.effect_layout import Floats, Layout, Setting
from sparehand.labour.fitting.equations import Equations, equations
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.fitting.solver import gradient, solve, solve_own, solve_shared
from sparehand.times.sample import Plans, SampleJob, clean_jobs
from sparehand.times.signature import Entry

LOG_SDS = np.log([[0.1, 0.3, 0.15, 0.14, 0.25]])
PLANS = Plans({("front-end", "access"): 1200.0, ("other", "access"): 900.0, ("other", "link"): 1500.0})
LAYOUT = Layout(
    ("ana", "ben"),
    {"front-end": ("access", "link", "refit", "joint"), "other": ("access", "link", "refit", "joint")},
    PLANS,
    Priors(),
)


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
                corrosion=("none", "light", "heavy")[number % 3],
                support=("lift", "stands")[number // 3 % 2],
            )
        )
    return clean_jobs(jobs)


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
    for number, each in enumerate(jobs):
        entries = [Entry(cell.phase, cell.second, cell.technician) for cell in each.cells]
        rows = LAYOUT.rows(each.procedure, [(entries, Setting(each.corrosion, each.support, each.doublings))])[0]
        logs = np.log([cell.seconds for cell in each.cells]) - LAYOUT.references(each.procedure, [entries])[0]
        start = shared + own * LAYOUT.procedures.index(each.procedure)
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
    noise = np.exp(2 * LOG_SDS[0, 4]) * np.eye(len(y)) + np.exp(2 * LOG_SDS[0, 3]) * (places[:, None] == places)
    covariance = design @ np.diag(prior_sd**2) @ design.T + noise
    rest = np.array(y) - design @ prior_mean
    return float(-0.5 * (np.linalg.slogdet(covariance)[1] + rest @ np.linalg.solve(covariance, rest)))


def test_evidence_is_that_of_the_whole_normal() -> None:
    jobs = some_jobs(24)
    problem = equations(LAYOUT, Evidence(totals=gather(jobs)))
    assert solve(problem, LOG_SDS).evidence[0] == pytest.approx(dense_evidence(problem, jobs), abs=1e-9)


def test_additive_statistics_say_exactly_what_the_rows_say() -> None:
    jobs = some_jobs(24)
    by_totals, by_rows = equations(LAYOUT, Evidence(totals=gather(jobs))), equations(LAYOUT, Evidence(rows=tuple(jobs)))
    ours, theirs = solve(by_totals, LOG_SDS), solve(by_rows, LOG_SDS)
    assert ours.evidence[0] == pytest.approx(theirs.evidence[0], abs=1e-9)
    np.testing.assert_allclose(ours.mean, theirs.mean, atol=1e-10)
    np.testing.assert_allclose(ours.covariance, theirs.covariance, atol=1e-10)
    np.testing.assert_allclose(gradient(by_totals, ours), gradient(by_rows, theirs), atol=1e-9)


@pytest.mark.parametrize("kept", ["none", "half trusted"])
def test_gradient_is_the_derivative(kept: str) -> None:
    jobs = some_jobs(24)
    rows = half_trusted(jobs[:8]) if kept == "half trusted" else []
    problem = equations(LAYOUT, Evidence(totals=gather(jobs[8:]), rows=tuple(rows)))
    exact, step = gradient(problem, solve(problem, LOG_SDS))[0], 1e-5
    ahead, back = (solve(problem, LOG_SDS + sign * step * np.eye(5)).evidence for sign in (1, -1))
    np.testing.assert_allclose(exact, (ahead - back) / (2 * step), rtol=1e-5, atol=1e-6)


def test_the_shared_effects_first_and_one_procedure_given_them_are_all_at_once() -> None:
    jobs = some_jobs(24)
    evidence = Evidence(totals=gather(jobs[8:]), rows=tuple(half_trusted(jobs[:8])))
    many = LOG_SDS + np.linspace(-0.5, 0.5, 7)[:, None]
    found, shared = solve_shared(equations(LAYOUT, evidence), many)
    only = replace(LAYOUT, phases={"other": LAYOUT.phases["other"]})
    own = solve_own(equations(only, evidence.of("other")), shared)
    for row, log_sds in enumerate(many):
        alone = solve(equations(LAYOUT, evidence), log_sds[None])
        assert found[row] == pytest.approx(alone.evidence[0])
        np.testing.assert_allclose(own.mean[row, 0], alone.mean[0, 1], rtol=1e-6, atol=1e-9)
        np.testing.assert_allclose(own.covariance[row, 0], alone.covariance[0, 1], rtol=1e-6, atol=1e-9)


def test_statistics_add_up_job_by_job() -> None:
    jobs = some_jobs(24)
    whole, first, second = gather(jobs), gather(jobs[:12]), gather(jobs[12:])
    for signature, totals in whole.items():
        parts = [some[signature] for some in (first, second) if signature in some]
        added = parts[0] if len(parts) == 1 else parts[0] + parts[1]
        assert added.jobs == totals.jobs
        np.testing.assert_allclose(added.sums, totals.sums)
        assert added.squares == pytest.approx(totals.squares)
        assert added.squared_totals == pytest.approx(totals.squared_totals)


def test_without_the_squared_totals_job_and_residual_spread_cannot_be_told_apart() -> None:
    jobs = some_jobs(24)
    problem = equations(LAYOUT, Evidence(totals=gather(jobs)))
    lost: Floats = np.zeros_like(problem.collapsed.squared_totals)
    blind = replace(problem, collapsed=replace(problem.collapsed, squared_totals=lost))
    assert solve(blind, LOG_SDS).evidence[0] != pytest.approx(solve(problem, LOG_SDS).evidence[0], abs=1.0)
