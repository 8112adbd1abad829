"""Importance points around a mode: evenly spread instead of random, and weights that cannot collapse."""

from __future__ import annotations

import numpy as np
from scipy.special import gammaincinv, ndtri

from sparehand.labour.fitting.arrays import Floats

FEWEST = 4.0
HALVINGS = 40


def effective_number(weights: Floats) -> float:
    """How many equal weights would carry as much (Kish 1965)."""
    return float(weights.sum() ** 2 / np.sum(weights**2))


def steady_weights(logs: Floats) -> Floats:
    """Weights that add up to 1 from their logs, flattened as little as needed to leave a few points effective."""
    finite = np.where(np.isfinite(logs), logs, -np.inf)
    if not np.isfinite(finite).any():
        return np.full(len(logs), 1 / len(logs))
    level = finite - finite.max()
    power, step = 1.0, 1.0
    for _ in range(HALVINGS):
        enough = effective_number(np.exp(power * level)) >= min(FEWEST, np.isfinite(level).sum())
        if enough and power == 1.0:
            break
        step /= 2
        power += step if enough else -step
    weights = np.exp(power * level)
    return np.asarray(weights / weights.sum(), dtype=np.float64)


def even_t_steps(count: int, dimensions: int, degrees: float) -> Floats:
    """Points of a standard multivariate t, shape (count, dimensions), from an additive lattice of golden-ratio kind."""
    base = 2.0
    for _ in range(HALVINGS):
        base = (1 + base) ** (1 / (dimensions + 2))
    steps = base ** -np.arange(1.0, dimensions + 2)
    even = np.mod(0.5 + np.outer(np.arange(1, count + 1), steps), 1.0)
    stretch = np.sqrt(degrees / (2 * gammaincinv(degrees / 2, even[:, dimensions])))
    return np.asarray(ndtri(even[:, :dimensions]) * stretch[:, None], dtype=np.float64)


def log_t_density(steps: Floats, degrees: float) -> Floats:
    """Log density of the standard multivariate t at the points, but a constant."""
    dimensions = steps.shape[1]
    return np.asarray(-0.5 * (degrees + dimensions) * np.log1p((steps**2).sum(axis=1) / degrees), dtype=np.float64)
