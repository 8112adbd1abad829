"""Any sound as it comes in, made into 16 kHz mono: piece by piece, in bounded memory."""

from __future__ import annotations

import numpy as np
import soxr
from numpy.typing import NDArray

from sparehand.voice.sound.samples import SAMPLE_RATE, Samples


class Resampler:
    """Takes pieces of shape (n, channels) at `rate` and gives mono samples at SAMPLE_RATE.

    Channels are averaged. Every second of input gives a second of output, to the sample, once `finish` was called.
    """

    def __init__(self, rate: float, channels: int) -> None:
        self._stream = None if rate == SAMPLE_RATE else soxr.ResampleStream(rate, SAMPLE_RATE, 1, dtype="float32")
        self._channels = channels

    def feed(self, piece: NDArray[np.float32]) -> Samples:
        """What can be given so far of the sound up to the end of `piece`."""
        return self._through(piece.reshape(-1, self._channels).mean(axis=1, dtype=np.float32), last=False)

    def finish(self) -> Samples:
        """What is left in the filter."""
        return self._through(np.zeros(0, np.float32), last=True)

    def _through(self, mono: Samples, last: bool) -> Samples:
        if self._stream is None:
            return mono
        return np.asarray(self._stream.resample_chunk(mono, last=last), np.float32)
