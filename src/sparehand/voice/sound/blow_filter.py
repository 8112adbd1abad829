"""Takes the blows of an impact wrench down to what sounds around them, block by block."""

from __future__ import annotations

from collections import deque

import numpy as np
from numpy.typing import NDArray

from sparehand.voice.sound.blocks import BLOCK_SAMPLES
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples
from sparehand.voice.sound.short_time import ShortTime

FRAME = 128
"""Eight milliseconds: shorter than a blow rings."""
REACH = 10
"""How many frames before and after are compared: 20 ms each way, less than the time between two blows."""
LOUDEST = 2.0
"""How many times the median power of its neighbours a band may have while a tool beats."""
BLOW = 8.0
"""So many times the median power of its neighbours, above BLOW_FROM_HZ, is a blow, or a consonant."""
BLOW_FROM_HZ = 1000
BLOWS_A_SECOND = 6
"""A tool beats so often or oftener, and is filtered then. Measured with tuning voices: speech alone has 1 to 5, an
impact wrench 14 to 18, 20 to 5 dB below the speech."""
_SECOND = round(SAMPLE_RATE / BLOCK_SAMPLES)
_TINY = 1e-12


class BlowFilter:
    """Blocks of BLOCK_SAMPLES in, as many samples out, `delay_seconds` later. Where no tool beats, nothing changes."""

    def __init__(self) -> None:
        self._short_time = ShortTime(FRAME)
        self._recent = np.zeros((2 * REACH, FRAME // 2 + 1), np.complex128)
        self._in_blow = False
        self._blows: deque[int] = deque(maxlen=_SECOND)
        self.delay_seconds = (self._short_time.delay + REACH * self._short_time.hop) / SAMPLE_RATE

    def feed(self, block: Samples) -> Samples:
        """The filtered sound that ends `delay_seconds` before the end of `block`."""
        spectra = np.concatenate([self._recent, self._short_time.spectra(block)])
        self._recent = spectra[-2 * REACH :]
        powers = np.square(np.abs(spectra))
        own = slice(REACH, len(spectra) - REACH)
        self._blows.append(self._begun(powers[:, FRAME * BLOW_FROM_HZ // SAMPLE_RATE :].sum(axis=1, keepdims=True)))
        if sum(self._blows) < BLOWS_A_SECOND:
            return self._short_time.sound(spectra[own])
        gains = np.sqrt(np.minimum(1.0, LOUDEST * _medians(powers) / (powers[own] + _TINY)))
        return self._short_time.sound(gains * spectra[own])

    def _begun(self, powers: NDArray[np.float64]) -> int:
        """How many blows begin in the frames that are put out next."""
        blow = powers[REACH:-REACH, 0] > BLOW * _medians(powers)[:, 0] + _TINY
        before = np.concatenate([[self._in_blow], blow[:-1]])
        self._in_blow = bool(blow[-1])
        return int(np.sum(blow & ~before))


def _medians(powers: NDArray[np.float64]) -> NDArray[np.float64]:
    """The median of each frame's neighbourhood, REACH frames either way, band by band."""
    around = np.lib.stride_tricks.sliding_window_view(powers, 2 * REACH + 1, axis=0)
    return np.asarray(np.partition(around, REACH, axis=-1)[..., REACH])
