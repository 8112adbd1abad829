"""The model of one procedure's times: its own effects given what the shop's times say of those that all share."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.fitting.arrays import Floats
from sparehand.labour.fitting.belief import PASSES, Belief, layout_of
from sparehand.labour.fitting.censoring import refine_sites
from sparehand.labour.fitting.effect_layout import Layout
from sparehand.labour.fitting.equations import Equations, equations
from sparehand.labour.fitting.phase_spreads import PhaseSpreads
from sparehand.labour.fitting.priors import RESIDUAL, Priors
from sparehand.labour.fitting.solver import Shared, phase_scatter, solve_own
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
    spreads: PhaseSpreads
    effective: float
    jobs_by: Counter[str]
    shop_jobs_by: Counter[str]


def fit(belief: Belief, own: Evidence, procedure: str, phases: Sequence[str], plans: Plans, priors: Priors) -> Fit:
    """What the shop's times, of which `own` are those of `procedure`, say of it; `phases` may never have been timed."""
    layout = layout_of(own, plans, priors, belief.blocks, belief.shares, procedure, phases, belief.technicians)
    problem = equations(layout, own)
    differences = problem.no_differences
    known = belief.differences.get(procedure, {})
    differences[0, : len(layout.phases[procedure])] = [known.get(phase, 0.0) for phase in layout.phases[procedure]]
    if problem.rows.censored:
        problem = _settled(problem, belief.mode, differences)
    at_mode = solve_own(problem, belief.mode, differences)
    times, scatter = phase_scatter(problem, at_mode)
    _, squares = phase_scatter(problem, at_mode, effects_known=True)
    solution = solve_own(problem, belief.points, differences)
    return Fit(
        procedure=procedure,
        layout=layout,
        weights=belief.weights,
        log_sds=solution.log_sds,
        means=solution.mean[:, 0],
        covariances=solution.covariance[:, 0],
        spreads=PhaseSpreads(
            mode=differences[0],
            squares=squares[0],
            freedom=np.maximum(times - (scatter - squares), 0.0)[0],
            shop=float(belief.mode.log_sds[0, RESIDUAL]),
            prior_sd=priors.phase_log_sd,
        ),
        effective=belief.effective,
        jobs_by=own.jobs_by(),
        shop_jobs_by=belief.jobs_by,
    )


def _settled(problem: Equations, shared: Shared, differences: Floats) -> Equations:
    """The sites of unfinished phases settled at the most likely spreads."""
    for _ in range(PASSES + 1):
        problem = refine_sites(problem, solve_own(problem, shared, differences), differences)
    return problem
