"""Takes the blows of hammers and impact wrenches down to what sounds around them, block by block."""

from __future__ import annotations

import numpy as np

from sparehand.voice.short_time import ShortTime
from sparehand.voice.sound import SAMPLE_RATE, Samples

FRAME = 128
"""Eight milliseconds: shorter than a blow rings."""
REACH = 10
"""How many frames before and after are compared: 20 ms each way, less than the time between two blows."""
LOUDEST = 2.0
"""How many times the median power of its neighbours a band may have. Speech lasts longer, or rises less."""
_TINY = 1e-12


class BlowFilter:
    """Blocks of BLOCK_SAMPLES in, as many samples out, `delay_seconds` later."""

    def __init__(self) -> None:
        self._short_time = ShortTime(FRAME)
        self._recent = np.zeros((2 * REACH, FRAME // 2 + 1), np.complex128)
        self.delay_seconds = (self._short_time.delay + REACH * self._short_time.hop) / SAMPLE_RATE

    def feed(self, block: Samples) -> Samples:
        """The filtered sound that ends `delay_seconds` before the end of `block`."""
        spectra = np.concatenate([self._recent, self._short_time.spectra(block)])
        self._recent = spectra[-2 * REACH :]
        powers = np.square(np.abs(spectra))
        around = np.lib.stride_tricks.sliding_window_view(powers, 2 * REACH + 1, axis=0)
        median = np.partition(around, REACH, axis=-1)[..., REACH]
        own = slice(REACH, len(spectra) - REACH)
        gains = np.sqrt(np.minimum(1.0, LOUDEST * median / (powers[own] + _TINY)))
        return self._short_time.sound(gains * spectra[own])
