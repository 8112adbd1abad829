"""A gentle Wiener filter that takes steady noise down and leaves speech alone, block by block."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sparehand.voice.sound.blocks import BLOCK_SAMPLES
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples
from sparehand.voice.sound.short_time import ShortTime

FRAME = 512
"""32 ms: long enough to tell the tones of a motor from a voice."""

_FLOOR_PERCENTILE = 20
_FLOOR_FACTOR = 1.6
_FLOOR_BLOCKS = round(3.0 * SAMPLE_RATE / BLOCK_SAMPLES)
_FLOOR_EVERY = 4
_LEAST_GAIN = 0.3
_SMOOTHING = 0.98
_TINY = 1e-12


class NoiseFilter:
    """Blocks of BLOCK_SAMPLES in, as many samples out, `delay_seconds` later.

    The noise of each band is a low percentile of its recent power, the gain follows the decision-directed estimate of
    Ephraim and Malah (IEEE Transactions on Acoustics, Speech, and Signal Processing 32, 1984, equation 51).
    """

    def __init__(self) -> None:
        self._short_time = ShortTime(FRAME)
        # Bins first: a bin's history lies together, where sorting it is cheap.
        self._history = np.empty((FRAME // 2 + 1, _FLOOR_BLOCKS))
        self._noise: NDArray[np.float64] = np.full(FRAME // 2 + 1, _TINY)
        self._clean = np.zeros(FRAME // 2 + 1)
        self._blocks = 0
        self.delay_seconds = self._short_time.delay / SAMPLE_RATE

    def feed(self, block: Samples) -> Samples:
        """The filtered sound that ends `delay_seconds` before the end of `block`."""
        spectra = self._short_time.spectra(block)
        powers = np.square(np.abs(spectra))
        # One mean of a block's frames is enough to follow the noise, at a quarter of the cost.
        self._history[:, self._blocks % _FLOOR_BLOCKS] = powers.mean(axis=0)
        if self._blocks % _FLOOR_EVERY == 0:
            self._noise = _FLOOR_FACTOR * _low_percentile(self._history[:, : self._blocks + 1]) + _TINY
        self._blocks += 1
        return self._short_time.sound(np.stack([self._gain(power) for power in powers]) * spectra)

    def _gain(self, power: NDArray[np.float64]) -> NDArray[np.float64]:
        prior = (_SMOOTHING * self._clean + (1 - _SMOOTHING) * np.maximum(power - self._noise, 0)) / self._noise
        gain = np.maximum(prior / (1 + prior), _LEAST_GAIN)
        self._clean = np.square(gain) * power
        return gain


def _low_percentile(history: NDArray[np.float64]) -> NDArray[np.float64]:
    """The percentile of each row, interpolated as usual: partly sorted rows are enough for it, and quick."""
    place = _FLOOR_PERCENTILE / 100 * (history.shape[1] - 1)
    below = int(place)
    above = min(below + 1, history.shape[1] - 1)
    ordered = np.partition(history, (below, above), axis=1)
    return np.asarray(ordered[:, below] + (place - below) * (ordered[:, above] - ordered[:, below]))
