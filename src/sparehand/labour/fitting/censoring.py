"""Unfinished phases: "longer than this" as a normal site each, fitted by expectation propagation.

Source of the moments: the probit site of Rasmussen & Williams, Gaussian Processes for Machine Learning (2006), 3.6.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from scipy.special import log_ndtr

from sparehand.labour.fitting.arrays import Floats
from sparehand.labour.fitting.equations import Equations
from sparehand.labour.fitting.priors import JOB, RESIDUAL
from sparehand.labour.fitting.solver import Solution

WEAKEST = 1e-8


def refine_sites(problem: Equations, solution: Solution, differences: Floats) -> Equations:
    """The same problem with each unfinished phase's site matched to the solution, which is for one set of spreads.

    `differences` (procedures, phases) are those of the phases' residual log spreads, of which the solution was made.
    """
    rows = problem.rows
    if not rows.censored:
        return problem
    v, u = np.exp(2 * solution.log_sds[0, [RESIDUAL, JOB]])
    mean, variance = _expected_logs(solution, v, u)
    own = v * np.exp(2 * differences[rows.owner[:, None], rows.place])
    unfinished = np.isfinite(rows.bound)
    cavity_precision = np.maximum(1 / variance - rows.site, WEAKEST)
    cavity = 1 / cavity_precision
    cavity_mean = cavity * (mean / variance - rows.site * rows.y)
    spread = np.sqrt(cavity + own)
    z = (cavity_mean - np.where(unfinished, rows.bound, 0.0)) / spread
    ratio = np.exp(-0.5 * z**2 - 0.5 * np.log(2 * np.pi) - log_ndtr(z))
    new_mean = cavity_mean + cavity * ratio / spread
    new_variance = np.maximum(cavity - cavity**2 * ratio * (z + ratio) / spread**2, WEAKEST)
    site = np.maximum(1 / new_variance - cavity_precision, WEAKEST)
    y = (new_mean / new_variance - cavity_mean * cavity_precision) / site
    return replace(
        problem, rows=rows.with_sites(np.where(unfinished, site, rows.site), np.where(unfinished, y, rows.y))
    )


def _expected_logs(solution: Solution, v: float, u: float) -> tuple[Floats, Floats]:
    """Posterior mean and variance of each entry's expected log, the job's own effect included."""
    rows = solution.data.rows
    precision = rows.weight / v + rows.site
    pull = u / (1 + u * precision.sum(axis=1))
    column = (rows.x * precision[:, :, None]).sum(axis=1)
    along = (precision * rows.y).sum(axis=1)
    x = rows.x - pull[:, None, None] * column[:, None, :]
    mean = np.einsum("rni,ri->rn", x, solution.mean[0, rows.owner]) + (pull * along)[:, None]
    variance = np.einsum("rni,rij,rnj->rn", x, solution.covariance[0, rows.owner], x) + pull[:, None]
    return mean, np.maximum(variance, WEAKEST)
