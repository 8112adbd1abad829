"""How far the residual spread of each phase is from the shop's, uncertainty included."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sparehand.labour.fitting.arrays import Floats

GRID = np.linspace(-3.0, 3.0, 121)
QUANTILES = (np.arange(40) + 0.5) / 40


@dataclass(frozen=True)
class PhaseSpreads:
    """What the times say of each phase's residual log spread, at the `mode` (phases) of its difference from the shop's.

    `squares` is the sum of its squared standard scores there, `freedom` the number of its times less what the effects
    take of them, `shop` the shop's residual log sd there, and `prior_sd` how much phases differ.
    """

    mode: Floats
    squares: Floats
    freedom: Floats
    shop: float
    prior_sd: float

    def log_sd_quantiles(self, shop: Floats) -> Floats:
        """Even quantiles (points, phases, 40) of each phase's residual log sd, where the shop's is `shop` (points).

        The density of a normal sample's log sd (Box & Tiao 1973, section 2.2), pooled by the normal prior.
        """
        squares = self.squares * np.exp(2 * self.mode) * np.exp(2 * (self.shop - shop))[:, None]
        logs = -self.freedom[:, None] * GRID - 0.5 * squares[..., None] * np.exp(-2 * GRID)
        logs = logs - 0.5 * (GRID / self.prior_sd) ** 2
        share = np.cumsum(np.exp(logs - logs.max(axis=2, keepdims=True)), axis=2)
        below = (share / share[..., -1:])[..., None, :] < QUANTILES[:, None]
        return np.asarray(shop[:, None, None] + GRID[below.sum(axis=3).clip(0, len(GRID) - 1)], dtype=np.float64)
