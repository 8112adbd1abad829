"""A range made wider where the shop's own past forecasts did not hold."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sparehand.labour.fitting.arrays import Floats


@dataclass(frozen=True)
class Widening:
    """By which factor a forecast's range grows on the log scale, and why, in one line; by 1 and "" where it holds."""

    factor: float = 1.0
    why: str = ""

    def widen(self, draws: Floats) -> Floats:
        """The draws (draws, ...) further from their medians, which stay."""
        if self.factor == 1.0:
            return draws
        middle = np.maximum(np.median(draws, axis=0), 1e-9)
        return np.asarray(middle * (draws / middle) ** self.factor, dtype=np.float64)
