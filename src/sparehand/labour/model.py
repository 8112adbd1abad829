"""The model of a shop's times: exact for given spreads, the spreads integrated around their most likely values."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize

from sparehand.labour.censoring import refine_sites
from sparehand.labour.equations import Equations, equations
from sparehand.labour.evidence import Evidence
from sparehand.labour.importance import effective_number, even_t_steps, log_t_density, steady_weights
from sparehand.labour.layout import Floats, Layout
from sparehand.labour.priors import Priors
from sparehand.labour.sample import Plans
from sparehand.labour.solver import Solution, gradient, solve, solve_in_parts

POINTS, FEWER_POINTS, MANY_JOBS = 40, 16, 2000
"""With many jobs the spreads are known so well that fewer points integrate them."""
DEGREES = 6.0
PASSES = 3
WIDEST = 3.0
"""A log spread further than this from its prior median is out of the question (a factor of 20)."""


@dataclass(frozen=True)
class Fit:
    """What the times of the shop say about one procedure.

    `weights` of the points add up to 1; each point has log spreads, and means and covariances of (shared, own) effects.
    `effective` is the effective number of points; `jobs_by` counts the procedure's jobs by technician.
    """

    procedure: str
    layout: Layout
    weights: Floats
    log_sds: Floats
    means: Floats
    covariances: Floats
    effective: float
    jobs_by: Counter[str]
    shop_jobs_by: Counter[str]


def fit(evidence: Evidence, procedure: str, phases: Sequence[str], plans: Plans, priors: Priors) -> Fit:
    """Fit all the shop's times jointly and keep what concerns `procedure`; its `phases` may never have been timed."""
    layout = layout_of(evidence, procedure, phases, plans, priors)
    problem = equations(layout, evidence)
    mode, problem = _settle(problem, priors)
    count = FEWER_POINTS if evidence.all_jobs >= MANY_JOBS else POINTS
    solution, logs = _points(problem, priors, mode, layout.procedures.index(procedure), count)
    return Fit(
        procedure=procedure,
        layout=layout,
        weights=steady_weights(logs),
        log_sds=solution.log_sds,
        means=solution.mean[:, 0],
        covariances=solution.covariance[:, 0],
        effective=effective_number(np.exp(logs - logs.max())),
        jobs_by=_by_technician(evidence, procedure),
        shop_jobs_by=_by_technician(evidence, None),
    )


def layout_of(
    evidence: Evidence,
    procedure: str,
    phases: Sequence[str],
    plans: Plans,
    priors: Priors,
    people: Iterable[str] = (),
) -> Layout:
    """The effects that the evidence speaks of, those of `procedure` first; `people` come before other technicians."""
    known: dict[str, dict[str, None]] = {procedure: dict.fromkeys(phases)}
    technicians: dict[str, None] = dict.fromkeys(people)
    for signature in evidence.totals:
        phases_of = known.setdefault(signature.procedure, {})
        for entry in signature.entries:
            phases_of[entry.phase] = technicians[entry.technician] = None
    for (name, _), sums in evidence.sums.items():
        known.setdefault(name, {}).update(dict.fromkeys(sums.phases))
        technicians.update(dict.fromkeys(sums.people))
    for job in evidence.kept:
        known.setdefault(job.procedure, {}).update(dict.fromkeys(cell.phase for cell in job.cells))
        technicians.update(dict.fromkeys(cell.technician for cell in job.cells))
    return Layout(tuple(technicians), {name: tuple(some) for name, some in known.items()}, plans, priors)


def most_likely(problem: Equations, priors: Priors, start: Floats) -> Floats:
    """The log spreads of highest posterior density."""
    centre, scale = _spread_prior(priors)

    def cost(log_sds: Floats) -> tuple[float, Floats]:
        solution = solve(problem, log_sds[None])
        off = (log_sds - centre) / scale
        return 0.5 * float(off @ off) - float(solution.evidence[0]), off / scale - gradient(problem, solution)[0]

    bounds = list(zip(centre - WIDEST, centre + WIDEST, strict=True))
    found = minimize(cost, start, jac=True, method="L-BFGS-B", bounds=bounds, options={"maxiter": 60, "ftol": 1e-8})
    return np.asarray(found.x, dtype=np.float64)


def _by_technician(evidence: Evidence, procedure: str | None) -> Counter[str]:
    jobs: Counter[str] = Counter()
    for (name, technician), count in evidence.jobs.items():
        if procedure in (None, name):
            jobs[technician] += count
    return jobs


def _settle(problem: Equations, priors: Priors) -> tuple[Floats, Equations]:
    """The mode, with the sites of unfinished phases settled along the way."""
    mode = most_likely(problem, priors, _spread_prior(priors)[0])
    if problem.rows.censored:
        for _ in range(PASSES):
            problem = refine_sites(problem, solve(problem, mode[None]))
        mode = most_likely(problem, priors, mode)
        problem = refine_sites(problem, solve(problem, mode[None]))
    return mode, problem


def _spread_prior(priors: Priors) -> tuple[Floats, Floats]:
    return np.log(np.array(priors.spread_medians)), np.array(priors.spread_log_sds)


def _points(problem: Equations, priors: Priors, mode: Floats, place: int, count: int) -> tuple[Solution, Floats]:
    """The solution at importance points of a t proposal around the mode, and the logs of their weights."""
    centre, scale = _spread_prior(priors)
    root = _proposal_root(problem, scale, mode)
    steps = even_t_steps(count, len(mode), DEGREES)
    points = np.clip(mode + steps @ root.T, centre - WIDEST, centre + WIDEST)
    solution = solve_in_parts(problem, points, place)
    density = solution.evidence.copy()
    density -= 0.5 * (((points - centre) / scale) ** 2).sum(axis=1)
    return solution, density - log_t_density(steps, DEGREES)


def _proposal_root(problem: Equations, scale: Floats, mode: Floats) -> Floats:
    """A square root of the inverse curvature of the log posterior at the mode, never wider than the prior."""
    step = 1e-3
    shifts = step * np.eye(len(mode))
    slopes = [gradient(problem, solve(problem, mode + sign * shifts)) for sign in (1, -1)]
    curvature = (slopes[1] - slopes[0]) / (2 * step)
    curvature = 0.5 * (curvature + curvature.T) + np.diag(scale**-2.0)
    values, vectors = np.linalg.eigh(curvature)
    root: Floats = vectors / np.sqrt(np.maximum(values, 0.7 / scale.max() ** 2))
    return root
