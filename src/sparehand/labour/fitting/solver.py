"""The inner problem, exact: for given spreads, every effect's joint normal posterior, the evidence and its gradient.

The job effects are integrated in closed form; each procedure's own effects are then eliminated by one small Cholesky
factor, which leaves one system in the shared effects. Cost grows with the number of procedures, not of jobs. Several
sets of spreads are solved at once: arrays lead with an axis over them (s), then over procedures (p).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sparehand.labour.fitting.arrays import Floats, Ints
from sparehand.labour.fitting.equations import Equations
from sparehand.labour.fitting.likelihood import (
    Weighted,
    likelihood,
    pattern_moments,
    row_moments,
    row_precision,
    spread_slopes,
    weighted,
)
from sparehand.labour.fitting.priors import DRIFT, JOB, OWN_LEARNING, PHASE, PROCEDURE, RESIDUAL, TECHNICIAN, UNPLANNED

MOST_NUMBERS = 4_000_000
"""Solved together at most, so that a large shop does not fill the memory."""


@dataclass(frozen=True)
class Solution:
    """The posterior for given log spreads: means and covariances of (shared, own) effects of each procedure.

    Shapes: evidence (s), log_sds (s, spreads), mean (s, p, effects), covariance (s, p, effects, effects).
    """

    data: Weighted
    evidence: Floats
    log_sds: Floats
    mean: Floats
    covariance: Floats


@dataclass(frozen=True)
class Shared:
    """Posterior of the shared effects for some spreads: log_sds (s, spreads), mean (s, e), covariance (s, e, e)."""

    log_sds: Floats
    mean: Floats
    covariance: Floats


def solve(problem: Equations, log_sds: Floats, differences: Floats) -> Solution:
    """Posterior of all effects for each row of log spreads (order: `priors.GROUPS`); the evidence but a constant.

    `differences` (procedures, phases) are those of the phases' residual log spreads from the shop's.
    """
    data = weighted(problem, differences)
    shared, own, evidence = _eliminated(problem, data, log_sds)
    return Solution(data, evidence, log_sds, *_joint(shared, own))


def solve_shared(problem: Equations, log_sds: Floats, differences: Floats) -> tuple[Floats, Shared]:
    """Evidence (s) and posterior of the shared effects for many rows of spreads, a few at a time."""
    data = weighted(problem, differences)
    rows = problem.rows.x.size * (problem.shared + problem.own)
    each = max(len(problem.own_prior[0]), len(data.owner)) * (problem.shared + problem.own) ** 2 + rows // 10
    step = max(1, MOST_NUMBERS // each)
    parts = [_eliminated(problem, data, log_sds[start : start + step]) for start in range(0, len(log_sds), step)]
    evidence = np.concatenate([each for _, _, each in parts])
    means = np.concatenate([shared.mean for shared, _, _ in parts])
    return evidence, Shared(log_sds, means, np.concatenate([shared.covariance for shared, _, _ in parts]))


def solve_own(problem: Equations, shared: Shared, differences: Floats) -> Solution:
    """The joint posterior where that of the shared effects is known, from this problem's data among others.

    `problem` holds the procedures wanted; its evidence is not computed (zeros).
    """
    data = weighted(problem, differences)
    precision, target, _ = likelihood(problem, data, shared.log_sds)
    own = _own(problem, shared.log_sds, precision, target)
    return Solution(data, np.zeros(len(shared.log_sds)), shared.log_sds, *_joint(shared, own))


@dataclass(frozen=True)
class _Own:
    """The procedures' own effects given the shared ones: their mean is `alone` - gain' (shared)."""

    pull: Floats
    alone: Floats
    gain: Floats
    inverse: Floats
    log_determinant: Floats


def _own(problem: Equations, log_sds: Floats, precision: Floats, target: Floats) -> _Own:
    shared, prior = problem.shared, _prior_precision(problem.own_prior, log_sds)
    factor = np.linalg.cholesky(precision[:, :, shared:, shared:] + prior[..., None] * np.eye(problem.own))
    root = np.linalg.inv(factor)
    inverse = np.swapaxes(root, -1, -2) @ root
    pull = target[:, :, shared:] + prior * problem.own_prior[0]
    alone = (inverse @ pull[..., None])[..., 0]
    gain = precision[:, :, :shared, shared:] @ inverse
    return _Own(pull, alone, gain, inverse, _log_determinants(factor).sum(axis=1))


def _eliminated(problem: Equations, data: Weighted, log_sds: Floats) -> tuple[Shared, _Own, Floats]:
    """The shared effects with each procedure's own ones eliminated, those, and the evidence."""
    shared = problem.shared
    precision, target, observed = likelihood(problem, data, log_sds)
    prior_shared = _prior_precision(problem.shared_prior, log_sds)
    prior_own = _prior_precision(problem.own_prior, log_sds)
    mean_shared, mean_own = problem.shared_prior[0], problem.own_prior[0]
    own = _own(problem, log_sds, precision, target)
    cross = precision[:, :, :shared, shared:]
    left = precision[:, :, :shared, :shared].sum(axis=1) - (own.gain @ np.swapaxes(cross, -1, -2)).sum(axis=1)
    factor = np.linalg.cholesky(left + prior_shared[..., None] * np.eye(shared))
    root = np.linalg.inv(factor)
    covariance = np.swapaxes(root, -1, -2) @ root
    pull = target[:, :, :shared].sum(axis=1) + prior_shared * mean_shared
    pull = pull - (own.gain @ own.pull[..., None])[..., 0].sum(axis=1)
    mean = (covariance @ pull[..., None])[..., 0]

    fit = (pull * mean).sum(axis=1) + (own.pull * own.alone).sum(axis=(1, 2))
    kept = np.log(prior_shared).sum(axis=1) + np.log(prior_own).sum(axis=(1, 2))
    lost = _log_determinants(factor) + own.log_determinant
    before = (prior_shared * mean_shared**2).sum(axis=1) + (prior_own * mean_own**2).sum(axis=(1, 2))
    evidence = observed + 0.5 * (kept - lost - before + fit)
    return Shared(log_sds, mean, covariance), own, evidence


def gradient(problem: Equations, solution: Solution) -> Floats:
    """Derivatives (s, spreads) of the log evidence by the log spreads, from posterior moments (Fisher's identity)."""
    shared, variance = problem.shared, np.exp(2 * solution.log_sds)
    slope = spread_slopes(solution.data, solution.log_sds, solution.mean, solution.covariance)
    second = solution.mean**2 + np.diagonal(solution.covariance, axis1=-2, axis2=-1)
    for group in (PROCEDURE, PHASE, UNPLANNED):
        chosen = problem.own_prior[2] == group
        slope[:, group] += second[:, :, shared:][:, chosen].sum(axis=1) / variance[:, group] - chosen.sum()
    for group in (TECHNICIAN, OWN_LEARNING, DRIFT):
        chosen = problem.shared_prior[2] == group
        slope[:, group] += second[:, 0, :shared][:, chosen].sum(axis=1) / variance[:, group] - chosen.sum()
    return slope


def phase_scatter(problem: Equations, solution: Solution, *, effects_known: bool = False) -> tuple[Floats, Floats]:
    """For each phase (procedures, phases): its number of times, and the expected sum of their squared standard scores.

    Half the excess of the second over the first is the derivative of the log evidence by half the log of the variance.
    The solution is for one set of spreads. With `effects_known` its uncertainty is left out of the scores.
    """
    data, v, u = solution.data, *np.exp(2 * solution.log_sds[0, [RESIDUAL, JOB]])
    count, scatter = problem.no_differences, problem.no_differences
    covariance, unsure = (0 * solution.covariance, 0.0) if effects_known else (solution.covariance, 1.0)
    if len(data.owner):
        pull = u / (v + data.weights * u)
        moments = pattern_moments(problem.patterns, solution.mean[0], covariance[0])
        rest = _own_squares(moments, data.w, pull) + unsure * (data.jobs * v * pull)[:, None]
        at = data.owner[:, None], problem.patterns.place
        np.add.at(count, at, data.jobs[:, None] * problem.patterns.present)
        np.add.at(scatter, at, data.w / v * rest)
    rows = data.rows
    if len(rows.owner):
        entry, _, job = (each[0] for each in row_precision(rows, np.array([[v]]), np.array([[u]])))
        moments = row_moments(rows, solution.mean, covariance)[0]
        rest = _own_squares(moments, entry, job) + unsure * job[:, None]
        np.add.at(count, (rows.owner[:, None], rows.place), rows.copies[:, None] * (rows.weight > 0))
        np.add.at(scatter, (rows.owner[:, None], rows.place), rows.copies[:, None] * rows.weight / v * rest)
    return count, scatter


def _own_squares(moments: Floats, weights: Floats, pull: Floats) -> Floats:
    """The diagonal of A M A' (k, n), where A takes the job's own effect, `pull` times the weighted sum, out of each."""
    along = (moments @ weights[..., None])[..., 0]
    whole = (weights * along).sum(axis=1)
    diagonal = np.diagonal(moments, axis1=1, axis2=2)
    return np.asarray(diagonal - 2 * pull[:, None] * along + (pull**2 * whole)[:, None], dtype=np.float64)


def _joint(shared: Shared, own: _Own) -> tuple[Floats, Floats]:
    """Mean and covariance of (shared, own) effects of each procedure."""
    some, count = own.alone.shape[:2]
    turned = np.swapaxes(own.gain, -1, -2)
    mean = own.alone - (turned @ shared.mean[:, None, :, None])[..., 0]
    across = -shared.covariance[:, None] @ own.gain
    wide = np.broadcast_to(shared.covariance[:, None], (some, count, *shared.covariance.shape[1:]))
    top = np.concatenate([wide, across], axis=3)
    bottom = np.concatenate([np.swapaxes(across, -1, -2), own.inverse - turned @ across], axis=3)
    everyone = np.broadcast_to(shared.mean[:, None], (some, count, shared.mean.shape[1]))
    return np.concatenate([everyone, mean], axis=2), np.concatenate([top, bottom], axis=2)


def _prior_precision(prior: tuple[Floats, Floats, Ints], log_sds: Floats) -> Floats:
    """Precisions by group; a padded place gets 1, which cancels everywhere."""
    _, sds, groups = prior
    learned = np.exp(-2 * log_sds)[:, np.clip(groups, 0, None)]
    fixed = np.where(groups < 0, sds, 1.0) ** -2.0
    return np.where(groups >= 0, learned, fixed)


def _log_determinants(factor: NDArray[np.floating[Any]]) -> Floats:
    return np.asarray(2 * np.log(np.diagonal(factor, axis1=-2, axis2=-1)).sum(axis=-1), dtype=np.float64)
