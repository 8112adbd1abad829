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

from sparehand.labour.equations import Equations
from sparehand.labour.layout import Floats, Ints
from sparehand.labour.likelihood import likelihood, spread_slopes
from sparehand.labour.priors import PHASE, PROCEDURE, TECHNICIAN

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


def solve(problem: Equations, log_sds: Floats) -> Solution:
    """Posterior of all effects for each row of log spreads (order: `priors.GROUPS`); the evidence but a constant."""
    shared = problem.shared
    precision, target, observed = likelihood(problem, log_sds)
    prior_shared = _prior_precision(problem.shared_prior, log_sds)
    prior_own = _prior_precision(problem.own_prior, log_sds)
    mean_shared, mean_own = problem.shared_prior[0], problem.own_prior[0]

    local = precision[:, :, shared:, shared:] + prior_own[..., None] * np.eye(problem.own)
    factor = np.linalg.cholesky(local)
    inverse = np.linalg.inv(factor)
    inverse = np.swapaxes(inverse, -1, -2) @ inverse
    cross = precision[:, :, :shared, shared:]
    h_own = target[:, :, shared:] + prior_own * mean_own
    gain = cross @ inverse
    left = precision[:, :, :shared, :shared].sum(axis=1) - (gain @ np.swapaxes(cross, -1, -2)).sum(axis=1)
    left_factor = np.linalg.cholesky(left + prior_shared[..., None] * np.eye(shared))
    root = np.linalg.inv(left_factor)
    covariance = np.swapaxes(root, -1, -2) @ root
    h_left = target[:, :, :shared].sum(axis=1) + prior_shared * mean_shared
    h_left = h_left - (gain @ h_own[..., None])[..., 0].sum(axis=1)
    mean_s = (covariance @ h_left[..., None])[..., 0]
    alone = (inverse @ h_own[..., None])[..., 0]
    mean_o = alone - (np.swapaxes(gain, -1, -2) @ mean_s[:, None, :, None])[..., 0]

    fit = (h_left * mean_s).sum(axis=1) + (h_own * alone).sum(axis=(1, 2))
    kept = np.log(prior_shared).sum(axis=1) + np.log(prior_own).sum(axis=(1, 2))
    lost = _log_determinants(left_factor) + _log_determinants(factor).sum(axis=1)
    before = (prior_shared * mean_shared**2).sum(axis=1) + (prior_own * mean_own**2).sum(axis=(1, 2))
    evidence = observed + 0.5 * (kept - lost - before + fit)
    return Solution(evidence, log_sds, *_joint(mean_s, mean_o, covariance, gain, inverse))


def solve_in_parts(problem: Equations, log_sds: Floats, place: int) -> Solution:
    """The same for many rows of spreads, keeping the effects of the procedure at `place` only."""
    each = len(problem.own_prior[0]) * (problem.shared + problem.own) ** 2
    step = max(1, MOST_NUMBERS // each)
    parts = [solve(problem, log_sds[start : start + step]) for start in range(0, len(log_sds), step)]
    some = slice(place, place + 1)
    return Solution(
        np.concatenate([part.evidence for part in parts]),
        log_sds,
        np.concatenate([part.mean[:, some] for part in parts]),
        np.concatenate([part.covariance[:, some] for part in parts]),
    )


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


def _joint(mean_s: Floats, mean_o: Floats, covariance: Floats, gain: Floats, inverse: Floats) -> tuple[Floats, Floats]:
    some, count = mean_o.shape[:2]
    across = -covariance[:, None] @ gain
    own = inverse - np.swapaxes(gain, -1, -2) @ across
    wide = np.broadcast_to(covariance[:, None], (some, count, *covariance.shape[1:]))
    top = np.concatenate([wide, across], axis=3)
    bottom = np.concatenate([np.swapaxes(across, -1, -2), own], axis=3)
    everyone = np.broadcast_to(mean_s[:, None], (some, count, mean_s.shape[1]))
    return np.concatenate([everyone, mean_o], axis=2), np.concatenate([top, bottom], axis=2)


def _prior_precision(prior: tuple[Floats, Floats, Ints], log_sds: Floats) -> Floats:
    """Precisions by group; a padded place gets 1, which cancels everywhere."""
    _, sds, groups = prior
    learned = np.exp(-2 * log_sds)[:, np.clip(groups, 0, None)]
    fixed = np.where(groups < 0, sds, 1.0) ** -2.0
    return np.where(groups >= 0, learned, fixed)


def _log_determinants(factor: NDArray[np.floating[Any]]) -> Floats:
    return np.asarray(2 * np.log(np.diagonal(factor, axis1=-2, axis2=-1)).sum(axis=-1), dtype=np.float64)
