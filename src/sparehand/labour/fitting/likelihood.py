"""What the times say, job effects integrated: precision and pull on the effects, and the slopes by the spreads.

The residual variance of phase p is v_p = v exp(2 d_p): d are the `differences` of its log spread from the shop's. For a
job with entry precisions D (diagonal) and job variance u, the integrated precision is D - D11'D u / (1 + u 1'D1).
Arrays lead with an axis over sets of spreads (s).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sparehand.labour.fitting.arrays import Floats, Ints
from sparehand.labour.fitting.equations import Equations, Patterns, Rows
from sparehand.labour.fitting.priors import GROUPS, JOB, RESIDUAL, SHOP


@dataclass(frozen=True)
class Weighted:
    """The data under given differences: by pattern the sums that any two noise variances need, and the rows.

    With w_p = exp(-2 d_p), x and y a job's rows and logs, s = sum of w x, t = sum of w y: the sums over jobs of w x x',
    s s', w x y, s t, w y y and t t. `entries` is the number of phases, `weights` the sum of w, `logs` of log w.
    """

    owner: Ints
    w: Floats
    jobs: Floats
    entries: Floats
    weights: Floats
    logs: Floats
    within: Floats
    between: Floats
    within_y: Floats
    between_y: Floats
    squares: Floats
    squared_totals: Floats
    rows: Rows


def weighted(problem: Equations, differences: Floats) -> Weighted:
    """Collapse the data by the differences (procedures, phases) of residual log spreads."""
    data, rows, shared = problem.patterns, problem.rows, problem.shared
    w = data.present * np.exp(-2 * differences[data.owner[:, None], data.place])
    total, own = w.sum(axis=1), np.einsum("gn,gni->gi", w, data.rows)
    level, jobs = data.regressors[:, :, SHOP], data.jobs
    within = jobs[:, None, None] * (np.swapaxes(data.rows * w[..., None], 1, 2) @ data.rows)
    between = jobs[:, None, None] * own[:, :, None] * own[:, None, :]
    across = own[:, :, None] * level[:, None, :]
    for matrix, both, one in ((within, total, 1.0), (between, total**2, total[:, None, None])):
        matrix[:, :, :shared] += one * across
        matrix[:, :shared, :] += np.swapaxes(one * across, 1, 2)
        matrix[:, :shared, :shared] += both[:, None, None] * data.regressors
    toward = (data.crossed @ w[..., None])[..., 0]
    within_y = np.einsum("gn,gni->gi", w * data.crossed[:, SHOP], data.rows)
    between_y = own * toward[:, SHOP, None]
    within_y[:, :shared] += toward
    between_y[:, :shared] += total[:, None] * toward
    return Weighted(
        owner=data.owner,
        w=w,
        jobs=jobs,
        entries=data.present.sum(axis=1),
        weights=total,
        logs=np.log(np.where(w > 0, w, 1.0)).sum(axis=1),
        within=within,
        between=between,
        within_y=within_y,
        between_y=between_y,
        squares=(w * np.diagonal(data.logs, axis1=1, axis2=2)).sum(axis=1),
        squared_totals=np.einsum("gn,gnm,gm->g", w, data.logs, w),
        rows=replace(rows, weight=rows.weight * np.exp(-2 * differences[rows.owner[:, None], rows.place])),
    )


@dataclass(frozen=True)
class _Noise:
    """Residual and job variance of each set of spreads, shaped (s, 1)."""

    v: Floats
    u: Floats

    @classmethod
    def of(cls, log_sds: Floats) -> _Noise:
        variance = np.exp(2 * log_sds)
        return cls(variance[:, RESIDUAL, None], variance[:, JOB, None])


def likelihood(problem: Equations, data: Weighted, log_sds: Floats) -> tuple[Floats, Floats, Floats]:
    """Precision (s, p, e, e) and pull (s, p, e) on the effects, and the part of the log evidence without them (s)."""
    noise = _Noise.of(log_sds)
    count, width = len(problem.own_prior[0]), problem.shared + problem.own
    precision = np.zeros((len(log_sds), count, width, width))
    target = np.zeros((len(log_sds), count, width))
    tau = noise.v + data.weights * noise.u
    share, clear = noise.u / (noise.v * tau), 1 / noise.v
    _gather(precision, data.owner, clear[..., None, None] * data.within - share[..., None, None] * data.between)
    _gather(target, data.owner, clear[..., None] * data.within_y - share[..., None] * data.between_y)
    logs = (data.entries - 1) * np.log(noise.v) + np.log(tau) - data.logs
    observed = -0.5 * (data.jobs * logs).sum(axis=1)
    observed -= 0.5 * (data.squares * clear - share * data.squared_totals).sum(axis=1)
    if len(data.rows.owner):
        observed += _add_rows(data.rows, noise, precision, target)
    return precision, target, observed


def spread_slopes(data: Weighted, log_sds: Floats, mean: Floats, covariance: Floats) -> Floats:
    """Slopes (s, spreads) of the expected log likelihood by the residual and job log sds; other columns are zero."""
    slope = _collapsed_slopes(data, _Noise.of(log_sds), mean, covariance)
    if len(data.rows.owner):
        slope += _row_slopes(data.rows, _Noise.of(log_sds), mean, covariance)
    return slope


def _gather(into: Floats, owner: Ints, parts: Floats) -> None:
    """Add parts (s, k, ...) to the procedures that own them; owners are in rising order."""
    owners, starts = np.unique(owner, return_index=True)
    if len(owners) == len(owner):
        into[:, owner] += parts
    else:
        into[:, owners] += np.add.reduceat(parts, starts, axis=1)


def row_precision(rows: Rows, v: Floats, u: Floats) -> tuple[Floats, Floats, Floats]:
    """Entry precisions (s, r, n), their totals (s, r), and u / (1 + u total), of variances shaped (s, 1)."""
    precision = rows.weight / v[..., None] + rows.site
    total = precision.sum(axis=2)
    return precision, total, u / (1 + u * total)


def _add_rows(rows: Rows, noise: _Noise, precision: Floats, target: Floats) -> Floats:
    entry, total, pull = row_precision(rows, noise.v, noise.u)
    scaled = rows.x * entry[..., None]
    column = scaled.sum(axis=2)
    along = (entry * rows.y).sum(axis=2)
    information = np.swapaxes(scaled, -1, -2) @ rows.x
    information -= pull[..., None, None] * column[..., :, None] * column[..., None, :]
    _gather(precision, rows.owner, rows.copies[:, None, None] * information)
    toward = (np.swapaxes(scaled, -1, -2) @ rows.y[..., None])[..., 0]
    _gather(target, rows.owner, rows.copies[:, None] * (toward - (pull * along)[..., None] * column))
    square = (entry * rows.y**2).sum(axis=2) - pull * along**2
    logs = np.log(np.where(entry > 0, entry, 1.0)).sum(axis=2)
    each = 0.5 * rows.copies * (logs - np.log1p(noise.u * total) - square)
    return np.asarray(each.sum(axis=1), dtype=np.float64)


def _collapsed_slopes(data: Weighted, noise: _Noise, mean: Floats, covariance: Floats) -> Floats:
    slope = np.zeros((len(mean), len(GROUPS)))
    v, u, tau = noise.v, noise.u, noise.v + data.weights * noise.u
    middle = mean[:, data.owner]
    moment = covariance[:, data.owner] + middle[..., :, None] * middle[..., None, :]
    within = data.squares - 2 * (data.within_y * middle).sum(axis=2) + (data.within * moment).sum(axis=(2, 3))
    between = data.squared_totals - 2 * (data.between_y * middle).sum(axis=2)
    between += (data.between * moment).sum(axis=(2, 3))
    share_slope = -2 * u * (tau + v) / (v * tau**2)
    residual = -data.jobs * (data.entries - 1 + v / tau) + within / v + 0.5 * share_slope * between
    slope[:, RESIDUAL] = residual.sum(axis=1)
    slope[:, JOB] = (-data.jobs * data.weights * u / tau + u / tau**2 * between).sum(axis=1)
    return slope


def _row_slopes(rows: Rows, noise: _Noise, mean: Floats, covariance: Floats) -> Floats:
    slope, u = np.zeros((len(mean), len(GROUPS))), noise.u
    entry, total, pull = row_precision(rows, noise.v, u)
    moment = row_moments(rows, mean, covariance)
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


def row_moments(rows: Rows, mean: Floats, covariance: Floats) -> Floats:
    """The expected products (s, r, n, n) of what the effects leave of the rows' logs."""
    rest = rows.y - (rows.x @ mean[:, rows.owner][..., None])[..., 0]
    spread = rows.x @ covariance[:, rows.owner] @ np.swapaxes(rows.x, -1, -2)
    return np.asarray(spread + rest[..., :, None] * rest[..., None, :], dtype=np.float64)


def pattern_moments(data: Patterns, mean: Floats, covariance: Floats) -> Floats:
    """The sums over jobs of those products (g, n, n), for one set of spreads: mean (p, e), covariance (p, e, e)."""
    shared = data.regressors.shape[1]
    middle, spread = mean[data.owner], covariance[data.owner]
    moment = spread + middle[:, :, None] * middle[:, None, :]
    level, jobs = data.regressors[:, :, SHOP], data.jobs
    own = (data.rows @ middle[..., None])[..., 0]
    cross = (middle[:, None, :shared] @ data.crossed)[:, 0, None, :] + own[:, :, None] * data.crossed[:, SHOP, None, :]
    turned = data.rows @ moment
    along = (turned[:, :, :shared] @ level[..., None])[..., 0]
    square = (data.regressors * moment[:, :shared, :shared]).sum(axis=(1, 2))[:, None, None]
    square = square + along[:, :, None] + along[:, None, :]
    square = square + jobs[:, None, None] * (turned @ np.swapaxes(data.rows, 1, 2))
    return np.asarray(data.logs - cross - np.swapaxes(cross, 1, 2) + square, dtype=np.float64)
