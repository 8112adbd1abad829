"""What all the shop's times say that every procedure shares: people, conditions, how plans miss, and the spreads.

It is the costly part of an estimate and the same for every question, so that it can be kept while the times stay.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from scipy.optimize import minimize

from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.fitting.censoring import refine_sites
from sparehand.labour.fitting.effect_layout import Floats, Layout
from sparehand.labour.fitting.equations import Equations, equations
from sparehand.labour.fitting.holds import Delay, delay_of
from sparehand.labour.fitting.importance import effective_number, even_t_steps, log_t_density, steady_weights
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.fitting.snags import ShopSnags, believe_shop_snags
from sparehand.labour.fitting.solver import Shared, gradient, solve, solve_shared
from sparehand.times.sample import Plans

POINTS, FEWER_POINTS, MANY_JOBS = 40, 16, 2000
"""With many jobs the spreads are known so well that fewer points integrate them."""
DEGREES = 6.0
PASSES = 3
WIDEST = 3.0
"""A log spread further than this from its prior median is out of the question (a factor of 20)."""


@dataclass(frozen=True)
class Belief:
    """What one procedure's estimate needs of the shop's `jobs`, besides its own times.

    The posterior of the shared effects, at the most likely spreads and at points around them whose `weights` add up
    to 1; `effective` is the effective number of those points.
    """

    jobs: int
    jobs_by: Counter[str]
    technicians: tuple[str, ...]
    mode: Shared
    points: Shared
    weights: Floats
    effective: float
    snags: ShopSnags
    delay: Delay

    def covers(self, own: Evidence) -> bool:
        """Whether it knows every technician and kind of snag of a procedure's evidence."""
        return own.people <= set(self.technicians) and {snag.kind for snag in own.snags} <= set(self.snags.kinds)


@dataclass(frozen=True)
class QuoteInputs:
    """How the shop's times stand to one procedure: what is believed of the shop, its `own` evidence, and its plan."""

    belief: Belief
    own: Evidence
    plans: Plans


def believe_shop(evidence: Evidence, plans: Plans, priors: Priors) -> Belief:
    """Fit all the shop's times jointly."""
    layout = layout_of(evidence, plans, priors)
    mode, problem = _settle(equations(layout, evidence), priors)
    count = FEWER_POINTS if evidence.all_jobs >= MANY_JOBS else POINTS
    points, logs = _points(problem, priors, mode, count)
    return Belief(
        jobs=evidence.all_jobs,
        jobs_by=evidence.jobs_by(),
        technicians=layout.technicians,
        mode=solve_shared(problem, mode[None])[1],
        points=points,
        weights=steady_weights(logs),
        effective=effective_number(np.exp(logs - logs.max())),
        snags=believe_shop_snags(evidence),
        delay=delay_of(evidence.all_jobs, evidence.held_logs.values()),
    )


def layout_of(
    evidence: Evidence,
    plans: Plans,
    priors: Priors,
    procedure: str | None = None,
    phases: Sequence[str] = (),
    people: Iterable[str] = (),
) -> Layout:
    """The effects that the evidence speaks of, besides those of `people` and of the `phases` of `procedure`."""
    known: dict[str, dict[str, None]] = {} if procedure is None else {procedure: dict.fromkeys(phases)}
    technicians: dict[str, None] = dict.fromkeys(people)
    for signature in evidence.totals:
        phases_of = known.setdefault(signature.procedure, {})
        for entry in signature.entries:
            phases_of[entry.phase] = technicians[entry.technician] = None
    for (name, _), logs in evidence.sums.items():
        for sums in logs:
            known.setdefault(name, {}).update(dict.fromkeys(sums.phases))
            technicians.update(dict.fromkeys(sums.people))
    for job in evidence.rows:
        known.setdefault(job.procedure, {}).update(dict.fromkeys(cell.phase for cell in job.cells))
        technicians.update(dict.fromkeys(cell.technician for cell in job.cells))
    known = known or {"": {}}  # one that has nothing, so that arrays over procedures are never empty
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


def _points(problem: Equations, priors: Priors, mode: Floats, count: int) -> tuple[Shared, Floats]:
    """The shared effects at importance points of a t proposal around the mode, and the logs of the points' weights."""
    centre, scale = _spread_prior(priors)
    root = _proposal_root(problem, scale, mode)
    steps = even_t_steps(count, len(mode), DEGREES)
    points = np.clip(mode + steps @ root.T, centre - WIDEST, centre + WIDEST)
    evidence, shared = solve_shared(problem, points)
    density = evidence - 0.5 * (((points - centre) / scale) ** 2).sum(axis=1)
    return shared, density - log_t_density(steps, DEGREES)


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
