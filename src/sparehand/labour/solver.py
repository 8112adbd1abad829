"""The inner problem, exact: for given spreads, every effect's joint normal posterior, the evidence and its gradient.

The job effects are integrated in closed form; each procedure's own effects are then eliminated by one small Cholesky
factor, which leaves one system in the shared effects. Cost grows with the number of procedures, not of jobs.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sparehand.labour.equations import Equations
from sparehand.labour.layout import Floats, Ints
from sparehand.labour.priors import JOB, PHASE, PROCEDURE, RESIDUAL, TECHNICIAN


@dataclass(frozen=True)
class Solution:
    """The posterior for given log spreads: means and covariances of (shared, own) effects of each procedure."""

    evidence: float
    log_sds: Floats
    mean: Floats
    covariance: Floats


@dataclass(frozen=True)
class _RowTerms:
    """What the rows kept one by one add, and what their gradient needs."""

    precision: Floats
    total: Floats
    pull: Floats


def solve(problem: Equations, log_sds: Floats) -> Solution:
    """Posterior of all effects for spreads exp(`log_sds`), in the order of `priors.GROUPS`; evidence but a constant."""
    shared = problem.shared
    precision, target, observed = _likelihood(problem, log_sds)
    prior_shared = _prior_precision(problem.shared_prior, log_sds)
    prior_own = _prior_precision(problem.own_prior, log_sds)
    mean_shared, mean_own = problem.shared_prior[0], problem.own_prior[0]

    local = precision[:, shared:, shared:] + prior_own[:, :, None] * np.eye(problem.own)
    factor = np.linalg.cholesky(local)
    inverse = np.linalg.inv(factor)
    inverse = inverse.transpose(0, 2, 1) @ inverse
    cross = precision[:, :shared, shared:]
    h_own = target[:, shared:] + prior_own * mean_own
    h_shared = target[:, :shared].sum(axis=0) + prior_shared * mean_shared
    gain = cross @ inverse
    schur = (
        precision[:, :shared, :shared].sum(axis=0)
        + np.diag(prior_shared)
        - (gain @ cross.transpose(0, 2, 1)).sum(axis=0)
    )
    schur_factor = np.linalg.cholesky(schur)
    root = np.linalg.inv(schur_factor)
    cov_shared = root.T @ root
    h_left = h_shared - np.einsum("pij,pj->i", gain, h_own)
    mean_s = cov_shared @ h_left
    mean_o = np.einsum("pij,pj->pi", inverse, h_own) - np.einsum("pji,j->pi", gain, mean_s)

    fit = float(h_left @ mean_s) + float(np.einsum("pi,pij,pj->", h_own, inverse, h_own))
    kept = np.sum(np.log(prior_shared)) + np.sum(np.log(prior_own))
    lost = _log_determinant(schur_factor) + _log_determinant(factor)
    before = float(prior_shared @ mean_shared**2) + float(np.sum(prior_own * mean_own**2))
    evidence = observed + 0.5 * (kept - lost - before + fit)
    return Solution(evidence, log_sds, *_joint(mean_s, mean_o, cov_shared, gain, inverse))


def gradient(problem: Equations, solution: Solution) -> Floats:
    """The derivative of the log evidence by each log spread, from posterior moments (Fisher's identity)."""
    slope = np.zeros(5)
    log_sds, shared = solution.log_sds, problem.shared
    variance = np.exp(2 * log_sds)
    second = solution.mean**2 + np.einsum("pii->pi", solution.covariance)
    own_groups, shared_groups = problem.own_prior[2], problem.shared_prior[2]
    for group in (PROCEDURE, PHASE):
        chosen = own_groups == group
        slope[group] = np.sum(second[:, shared:][chosen] / variance[group] - 1)
    if len(second):
        chosen = shared_groups == TECHNICIAN
        slope[TECHNICIAN] = np.sum(second[0, :shared][chosen] / variance[TECHNICIAN] - 1)
    slope += _collapsed_gradient(problem, solution)
    if len(problem.rows.owner):
        slope += _rows_gradient(problem, solution)
    return slope


def _joint(mean_s: Floats, mean_o: Floats, cov_shared: Floats, gain: Floats, inverse: Floats) -> tuple[Floats, Floats]:
    across = -cov_shared @ gain
    own = inverse + gain.transpose(0, 2, 1) @ cov_shared @ gain
    count = len(mean_o)
    top = np.concatenate([np.broadcast_to(cov_shared, (count, *cov_shared.shape)), across], axis=2)
    bottom = np.concatenate([across.transpose(0, 2, 1), own], axis=2)
    return (
        np.concatenate([np.broadcast_to(mean_s, (count, len(mean_s))), mean_o], axis=1),
        np.concatenate([top, bottom], axis=1),
    )


def _prior_precision(prior: tuple[Floats, Floats, Ints], log_sds: Floats) -> Floats:
    """Precisions by group; a padded place gets 1, which cancels everywhere."""
    _, sds, groups = prior
    learned = np.exp(-2 * log_sds)[np.clip(groups, 0, None)]
    fixed = np.where(groups < 0, sds, 1.0) ** -2.0
    return np.where(groups >= 0, learned, fixed)


def _likelihood(problem: Equations, log_sds: Floats) -> tuple[Floats, Floats, float]:
    """Precision and pull on (shared, own) effects of each procedure, and the part of the evidence without effects."""
    v, u = np.exp(2 * log_sds[RESIDUAL]), np.exp(2 * log_sds[JOB])
    data = problem.collapsed
    tau = v + data.size * u
    share = u / (v * tau)
    count, width = len(problem.own_prior[0]), problem.shared + problem.own
    precision, target = np.zeros((count, width, width)), np.zeros((count, width))
    np.add.at(precision, data.owner, data.within / v - share[:, None, None] * data.between)
    np.add.at(target, data.owner, data.within_y / v - share[:, None] * data.between_y)
    observed = -0.5 * float(np.sum(data.jobs * ((data.size - 1) * np.log(v) + np.log(tau))))
    observed -= 0.5 * float(np.sum(data.squares / v - share * data.squared_totals))
    if len(problem.rows.owner):
        observed += _add_rows(problem, v, u, precision, target)
    return precision, target, observed


def _row_terms(problem: Equations, v: float, u: float) -> _RowTerms:
    precision = problem.rows.weight / v + problem.rows.site
    total = precision.sum(axis=1)
    return _RowTerms(precision, total, u / (1 + u * total))


def _add_rows(problem: Equations, v: float, u: float, precision: Floats, target: Floats) -> float:
    rows, terms = problem.rows, _row_terms(problem, v, u)
    weighted = rows.x * terms.precision[:, :, None]
    column = weighted.sum(axis=1)
    along = (terms.precision * rows.y).sum(axis=1)
    information = np.einsum("rni,rnj->rij", weighted, rows.x)
    information -= terms.pull[:, None, None] * column[:, :, None] * column[:, None, :]
    np.add.at(precision, rows.owner, information)
    np.add.at(target, rows.owner, np.einsum("rni,rn->ri", weighted, rows.y) - (terms.pull * along)[:, None] * column)
    square = (terms.precision * rows.y**2).sum(axis=1) - terms.pull * along**2
    seen = terms.precision > 0
    logs = np.log(np.where(seen, terms.precision, 1.0)).sum()
    return 0.5 * float(logs - np.log1p(u * terms.total).sum() - square.sum())


def _collapsed_gradient(problem: Equations, solution: Solution) -> Floats:
    data, slope = problem.collapsed, np.zeros(5)
    v, u = np.exp(2 * solution.log_sds[RESIDUAL]), np.exp(2 * solution.log_sds[JOB])
    tau = v + data.size * u
    mean = solution.mean[data.owner]
    moment = solution.covariance[data.owner] + mean[:, :, None] * mean[:, None, :]
    q_within = data.squares - 2 * np.einsum("ki,ki->k", data.within_y, mean)
    q_within += np.einsum("kij,kij->k", data.within, moment)
    q_between = data.squared_totals - 2 * np.einsum("ki,ki->k", data.between_y, mean)
    q_between += np.einsum("kij,kij->k", data.between, moment)
    share_slope = -2 * u * (tau + v) / (v * tau**2)
    slope[RESIDUAL] = np.sum(-data.jobs * (data.size - 1 + v / tau) + q_within / v + 0.5 * share_slope * q_between)
    slope[JOB] = np.sum(-data.jobs * data.size * u / tau + u / tau**2 * q_between)
    return slope


def _rows_gradient(problem: Equations, solution: Solution) -> Floats:
    rows, slope = problem.rows, np.zeros(5)
    v, u = float(np.exp(2 * solution.log_sds[RESIDUAL])), float(np.exp(2 * solution.log_sds[JOB]))
    terms = _row_terms(problem, v, u)
    rest = rows.y - np.einsum("rni,ri->rn", rows.x, solution.mean[rows.owner])
    spread = rows.x @ solution.covariance[rows.owner] @ rows.x.transpose(0, 2, 1)
    moment = spread + rest[:, :, None] * rest[:, None, :]
    total_square = np.einsum("rn,rnm,rm->r", terms.precision, moment, terms.precision)
    job_slope = 2 * u / (1 + u * terms.total) ** 2
    slope[JOB] = np.sum(-u * terms.total / (1 + u * terms.total) + 0.5 * job_slope * total_square)
    change = -2 * rows.weight / v
    changed = change.sum(axis=1)
    logs = np.where(terms.precision > 0, change / np.where(terms.precision > 0, terms.precision, 1.0), 0.0).sum(axis=1)
    squares = np.einsum("rn,rnn->r", change, moment)
    crossed = 2 * terms.pull * np.einsum("rn,rnm,rm->r", change, moment, terms.precision)
    pulled = -(terms.pull**2) * changed * total_square
    slope[RESIDUAL] = 0.5 * np.sum(logs - terms.pull * changed - squares + crossed + pulled)
    return slope


def _log_determinant(factor: NDArray[np.floating[Any]]) -> float:
    return 2 * float(np.log(np.diagonal(factor, axis1=-2, axis2=-1)).sum())
