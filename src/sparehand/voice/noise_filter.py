"""A gentle Wiener filter that takes steady noise down and leaves speech alone, block by block."""

from __future__ import annotations

from collections import deque

import numpy as np
from numpy.typing import NDArray

from sparehand.voice.blocks import BLOCK_SAMPLES
from sparehand.voice.sound import SAMPLE_RATE, Samples

HOP = 128
FRAME = 512
DELAY_SECONDS = (FRAME - HOP) / SAMPLE_RATE
"""How far what comes out lies behind what went in: 24 ms."""

_FLOOR_PERCENTILE = 20
_FLOOR_FACTOR = 1.6
_FLOOR_SECONDS = 3.0
_FLOOR_EVERY = 4
_LEAST_GAIN = 0.3
_SMOOTHING = 0.98
_TINY = 1e-12


class NoiseFilter:
    """Blocks of BLOCK_SAMPLES in, as many samples out, DELAY_SECONDS later.

    The noise of each band is a low percentile of its recent power, the gain follows the decision-directed estimate of
    Ephraim and Malah (IEEE Transactions on Acoustics, Speech, and Signal Processing 32, 1984, equation 51).
    """

    def __init__(self) -> None:
        self._window = np.sqrt(0.5 - 0.5 * np.cos(2 * np.pi * np.arange(FRAME) / FRAME))
        self._input = np.zeros(FRAME - HOP)
        self._overlap = np.zeros(FRAME)
        self._history: deque[NDArray[np.float64]] = deque(maxlen=round(_FLOOR_SECONDS * SAMPLE_RATE / BLOCK_SAMPLES))
        self._noise: NDArray[np.float64] = np.full(FRAME // 2 + 1, _TINY)
        self._clean = np.zeros(FRAME // 2 + 1)
        self._blocks = 0

    def feed(self, block: Samples) -> Samples:
        """The filtered sound that ends DELAY_SECONDS before the end of `block`."""
        sound = np.concatenate([self._input, block])
        frames = np.lib.stride_tricks.sliding_window_view(sound, FRAME)[::HOP] * self._window
        spectra = np.fft.rfft(frames)
        powers = np.square(np.abs(spectra))
        # One mean of a block's frames is enough to follow the noise, at a quarter of the cost.
        self._history.append(powers.mean(axis=0))
        if self._blocks % _FLOOR_EVERY == 0:
            self._noise = _FLOOR_FACTOR * np.percentile(self._history, _FLOOR_PERCENTILE, axis=0) + _TINY
        self._blocks += 1
        self._input = sound[len(frames) * HOP :]
        return np.concatenate([self._emit(*pair) for pair in zip(spectra, powers, strict=True)]).astype(np.float32)

    def _emit(self, spectrum: NDArray[np.complex128], power: NDArray[np.float64]) -> NDArray[np.float64]:
        """The next HOP samples, which no later frame touches."""
        ratio = power / self._noise
        prior = _SMOOTHING * self._clean / self._noise + (1 - _SMOOTHING) * np.maximum(ratio - 1, 0)
        gain = np.maximum(prior / (1 + prior), _LEAST_GAIN)
        self._clean = np.square(gain) * power
        # Windows of square roots of Hann, applied twice and a quarter of a frame apart, sum to two.
        self._overlap += np.fft.irfft(gain * spectrum) * self._window / 2
        done = self._overlap[:HOP].copy()
        self._overlap = np.concatenate([self._overlap[HOP:], np.zeros(HOP)])
        return done
