"""A stream of sound taken apart into short spectra that overlap, and put together again."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sparehand.voice.sound.samples import Samples

OVERLAP = 4
"""How many frames each sample is part of."""

Spectra = NDArray[np.complex128]
"""One spectrum a row, shape (frames, frame / 2 + 1)."""


class ShortTime:
    """Frames of `frame` samples, a quarter of one apart; unchanged spectra give the sound again, `delay` samples later.

    Blocks must be whole multiples of a quarter of a frame.
    """

    def __init__(self, frame: int) -> None:
        self.hop = frame // OVERLAP
        self.delay = frame - self.hop
        self._frame = frame
        self._window = np.sqrt(0.5 - 0.5 * np.cos(2 * np.pi * np.arange(frame) / frame))
        self._input = np.zeros(self.delay)
        self._overlap = np.zeros(self.delay)

    def spectra(self, block: Samples) -> Spectra:
        """The spectra of the frames that end in `block`."""
        sound = np.concatenate([self._input, block])
        frames = np.lib.stride_tricks.sliding_window_view(sound, self._frame)[:: self.hop] * self._window
        self._input = sound[len(frames) * self.hop :]
        return np.fft.rfft(frames)

    def sound(self, spectra: Spectra) -> Samples:
        """The frames of `spectra` added to those before, as far as no later frame touches the sum."""
        # Windows of square roots of Hann, applied twice and a quarter of a frame apart, sum to two.
        quarters = (np.fft.irfft(spectra) * (self._window / 2)).reshape(len(spectra), OVERLAP, self.hop)
        whole = np.concatenate([self._overlap, np.zeros(len(spectra) * self.hop)]).reshape(-1, self.hop)
        for quarter in range(OVERLAP):
            whole[quarter : quarter + len(spectra)] += quarters[:, quarter]
        self._overlap = whole[len(spectra) :].ravel()
        return whole[: len(spectra)].ravel().astype(np.float32)
