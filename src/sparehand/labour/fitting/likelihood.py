"""What the times say, job effects integrated: precision and pull on the effects, and slopes by the two noise spreads.

For a job with entry precisions D (diagonal) and job variance u, the integrated precision is D - D11'D u / (1 + u 1'D1).
Arrays lead with an axis over sets of spreads (s).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sparehand.labour.fitting.effect_layout import Floats, Ints
from sparehand.labour.fitting.equations import Equations
from sparehand.labour.fitting.priors import JOB, RESIDUAL


@dataclass(frozen=True)
class _Noise:
    """Residual and job variance of each set of spreads, shaped (s, 1)."""

    v: Floats
    u: Floats

    @classmethod
    def of(cls, log_sds: Floats) -> _Noise:
        variance = np.exp(2 * log_sds)
        return cls(variance[:, RESIDUAL, None], variance[:, JOB, None])


def likelihood(problem: Equations, log_sds: Floats) -> tuple[Floats, Floats, Floats]:
    """Precision (s, p, e, e) and pull (s, p, e) on the effects, and the part of the log evidence without them (s)."""
    noise, data = _Noise.of(log_sds), problem.collapsed
    count, width = len(problem.own_prior[0]), problem.shared + problem.own
    precision = np.zeros((len(log_sds), count, width, width))
    target = np.zeros((len(log_sds), count, width))
    tau = noise.v + data.size * noise.u
    share, clear = noise.u / (noise.v * tau), 1 / noise.v
    _gather(precision, data.owner, clear[..., None, None] * data.within - share[..., None, None] * data.between)
    _gather(target, data.owner, clear[..., None] * data.within_y - share[..., None] * data.between_y)
    observed = -0.5 * (data.jobs * ((data.size - 1) * np.log(noise.v) + np.log(tau))).sum(axis=1)
    observed -= 0.5 * (data.squares * clear - share * data.squared_totals).sum(axis=1)
    if len(problem.rows.owner):
        observed += _add_rows(problem, noise, precision, target)
    return precision, target, observed


def spread_slopes(problem: Equations, log_sds: Floats, mean: Floats, covariance: Floats) -> Floats:
    """Slopes (s, 5) of the expected log likelihood by the residual and job log sds; the other columns are zero."""
    slope = _collapsed_slopes(problem, _Noise.of(log_sds), mean, covariance)
    if len(problem.rows.owner):
        slope += _row_slopes(problem, _Noise.of(log_sds), mean, covariance)
    return slope


def _gather(into: Floats, owner: Ints, parts: Floats) -> None:
    """Add parts (s, k, ...) to the procedures that own them; owners are in rising order."""
    owners, starts = np.unique(owner, return_index=True)
    if len(owners) == len(owner):
        into[:, owner] += parts
    else:
        into[:, owners] += np.add.reduceat(parts, starts, axis=1)


def _row_precision(problem: Equations, noise: _Noise) -> tuple[Floats, Floats, Floats]:
    """Entry precisions (s, r, n), their totals (s, r), and u / (1 + u total)."""
    precision = problem.rows.weight / noise.v[..., None] + problem.rows.site
    total = precision.sum(axis=2)
    return precision, total, noise.u / (1 + noise.u * total)


def _add_rows(problem: Equations, noise: _Noise, precision: Floats, target: Floats) -> Floats:
    rows = problem.rows
    entry, total, pull = _row_precision(problem, noise)
    weighted = rows.x * entry[..., None]
    column = weighted.sum(axis=2)
    along = (entry * rows.y).sum(axis=2)
    information = np.swapaxes(weighted, -1, -2) @ rows.x
    information -= pull[..., None, None] * column[..., :, None] * column[..., None, :]
    _gather(precision, rows.owner, rows.copies[:, None, None] * information)
    toward = (np.swapaxes(weighted, -1, -2) @ rows.y[..., None])[..., 0]
    _gather(target, rows.owner, rows.copies[:, None] * (toward - (pull * along)[..., None] * column))
    square = (entry * rows.y**2).sum(axis=2) - pull * along**2
    logs = np.log(np.where(entry > 0, entry, 1.0)).sum(axis=2)
    each = 0.5 * rows.copies * (logs - np.log1p(noise.u * total) - square)
    return np.asarray(each.sum(axis=1), dtype=np.float64)


def _collapsed_slopes(problem: Equations, noise: _Noise, mean: Floats, covariance: Floats) -> Floats:
    data, slope = problem.collapsed, np.zeros((len(mean), 5))
    v, u, tau = noise.v, noise.u, noise.v + data.size * noise.u
    middle = mean[:, data.owner]
    moment = covariance[:, data.owner] + middle[..., :, None] * middle[..., None, :]
    within = data.squares - 2 * (data.within_y * middle).sum(axis=2) + (data.within * moment).sum(axis=(2, 3))
    between = data.squared_totals - 2 * (data.between_y * middle).sum(axis=2)
    between += (data.between * moment).sum(axis=(2, 3))
    share_slope = -2 * u * (tau + v) / (v * tau**2)
    residual = -data.jobs * (data.size - 1 + v / tau) + within / v + 0.5 * share_slope * between
    slope[:, RESIDUAL] = residual.sum(axis=1)
    slope[:, JOB] = (-data.jobs * data.size * u / tau + u / tau**2 * between).sum(axis=1)
    return slope


def _row_slopes(problem: Equations, noise: _Noise, mean: Floats, covariance: Floats) -> Floats:
    rows, slope, u = problem.rows, np.zeros((len(mean), 5)), noise.u
    entry, total, pull = _row_precision(problem, noise)
    rest = rows.y - (rows.x @ mean[:, rows.owner][..., None])[..., 0]
    spread = rows.x @ covariance[:, rows.owner] @ np.swapaxes(rows.x, -1, -2)
    moment = spread + rest[..., :, None] * rest[..., None, :]
    turned = (moment @ entry[..., None])[..., 0]
    total_square = (entry * turned).sum(axis=2)
    job = -u * total / (1 + u * total) + u / (1 + u * total) ** 2 * total_square
    slope[:, JOB] = job @ rows.copies
    change = -2 * rows.weight / noise.v[..., None]
    logs = (change / np.where(entry > 0, entry, 1.0)).sum(axis=2)
    squares = (change * np.diagonal(moment, axis1=-2, axis2=-1)).sum(axis=2)
    crossed = 2 * pull * (change * turned).sum(axis=2)
    pulled = pull**2 * change.sum(axis=2) * total_square
    residual = logs - pull * change.sum(axis=2) - squares + crossed - pulled
    slope[:, RESIDUAL] = 0.5 * residual @ rows.copies
    return slope
