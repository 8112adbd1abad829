"""The model of one procedure's times: its own effects given what the shop's times say of those that all share."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.fitting.belief import PASSES, Belief, layout_of
from sparehand.labour.fitting.censoring import refine_sites
from sparehand.labour.fitting.effect_layout import Floats, Layout
from sparehand.labour.fitting.equations import Equations, equations
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.fitting.solver import Shared, solve_own
from sparehand.times.sample import Plans


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


def fit(belief: Belief, own: Evidence, procedure: str, phases: Sequence[str], plans: Plans, priors: Priors) -> Fit:
    """What the shop's times, of which `own` are those of `procedure`, say of it; `phases` may never have been timed."""
    layout = layout_of(own, plans, priors, procedure, phases, belief.technicians)
    problem = equations(layout, own)
    if problem.rows.censored:
        problem = _settled(problem, belief.mode)
    solution = solve_own(problem, belief.points)
    return Fit(
        procedure=procedure,
        layout=layout,
        weights=belief.weights,
        log_sds=solution.log_sds,
        means=solution.mean[:, 0],
        covariances=solution.covariance[:, 0],
        effective=belief.effective,
        jobs_by=own.jobs_by(),
        shop_jobs_by=belief.jobs_by,
    )


def _settled(problem: Equations, shared: Shared) -> Equations:
    """The sites of unfinished phases settled at the most likely spreads."""
    for _ in range(PASSES + 1):
        problem = refine_sites(problem, solve_own(problem, shared))
    return problem
