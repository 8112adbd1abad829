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

from sparehand.labour.fitting.effect_layout import Floats, Ints
from sparehand.labour.fitting.equations import Equations
from sparehand.labour.fitting.likelihood import likelihood, spread_slopes
from sparehand.labour.fitting.priors import PHASE, PROCEDURE, TECHNICIAN

MOST_NUMBERS = 4_000_000
"""Solved together at most, so that a large shop does not fill the memory."""


@dataclass(frozen=True)
class Solution:
    """The posterior for given log spreads: means and covariances of (shared, own) effects of each procedure.

    Shapes: evidence (s), log_sds (s, 5), mean (s, p, effects), covariance (s, p, effects, effects).
    """

    evidence: Floats
    log_sds: Floats
    mean: Floats
    covariance: Floats


@dataclass(frozen=True)
class Shared:
    """Posterior of the shared effects for some spreads: log_sds (s, 5), mean (s, e), covariance (s, e, e)."""

    log_sds: Floats
    mean: Floats
    covariance: Floats


def solve(problem: Equations, log_sds: Floats) -> Solution:
    """Posterior of all effects for each row of log spreads (order: `priors.GROUPS`); the evidence but a constant."""
    shared, own, evidence = _eliminated(problem, log_sds)
    return Solution(evidence, log_sds, *_joint(shared, own))


def solve_shared(problem: Equations, log_sds: Floats) -> tuple[Floats, Shared]:
    """Evidence (s) and posterior of the shared effects for many rows of spreads, a few at a time."""
    rows = problem.rows.x.size * (problem.shared + problem.own)
    each = len(problem.own_prior[0]) * (problem.shared + problem.own) ** 2 + rows // 10
    step = max(1, MOST_NUMBERS // each)
    parts = [_eliminated(problem, log_sds[start : start + step]) for start in range(0, len(log_sds), step)]
    evidence = np.concatenate([each for _, _, each in parts])
    means = np.concatenate([shared.mean for shared, _, _ in parts])
    return evidence, Shared(log_sds, means, np.concatenate([shared.covariance for shared, _, _ in parts]))


def solve_own(problem: Equations, shared: Shared) -> Solution:
    """The joint posterior where that of the shared effects is known, from this problem's data among others.

    `problem` holds the procedures wanted; its evidence is not computed (zeros).
    """
    precision, target, _ = likelihood(problem, shared.log_sds)
    own = _own(problem, shared.log_sds, precision, target)
    return Solution(np.zeros(len(shared.log_sds)), shared.log_sds, *_joint(shared, own))


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


def _eliminated(problem: Equations, log_sds: Floats) -> tuple[Shared, _Own, Floats]:
    """The shared effects with each procedure's own ones eliminated, those, and the evidence."""
    shared = problem.shared
    precision, target, observed = likelihood(problem, log_sds)
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
    """Derivatives (s, 5) of the log evidence by the log spreads, from posterior moments (Fisher's identity)."""
    shared, variance = problem.shared, np.exp(2 * solution.log_sds)
    slope = spread_slopes(problem, solution.log_sds, solution.mean, solution.covariance)
    second = solution.mean**2 + np.diagonal(solution.covariance, axis1=-2, axis2=-1)
    for group in (PROCEDURE, PHASE):
        chosen = problem.own_prior[2] == group
        slope[:, group] += second[:, :, shared:][:, chosen].sum(axis=1) / variance[:, group] - chosen.sum()
    people = problem.shared_prior[2] == TECHNICIAN
    slope[:, TECHNICIAN] += second[:, 0, :shared][:, people].sum(axis=1) / variance[:, TECHNICIAN] - people.sum()
    return slope


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
