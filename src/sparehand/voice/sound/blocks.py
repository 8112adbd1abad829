"""Loose pieces of sound cut into blocks of one length."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

BLOCK_SAMPLES = 512
"""Samples a block: 32 ms, which is what the voice activity model takes."""
BLOCK_SECONDS = BLOCK_SAMPLES / SAMPLE_RATE


class BlockCutter:
    """Keeps what does not fill a block until more comes."""

    def __init__(self) -> None:
        self._rest: Samples = np.zeros(0, np.float32)

    def feed(self, samples: Samples) -> Iterator[Samples]:
        """Every block that is full now."""
        whole = np.concatenate([self._rest, samples])
        end = len(whole) // BLOCK_SAMPLES * BLOCK_SAMPLES
        self._rest = whole[end:]
        yield from whole[:end].reshape(-1, BLOCK_SAMPLES)

    def finish(self) -> Iterator[Samples]:
        """The last block, filled up with silence, if anything is left."""
        if len(self._rest):
            yield np.pad(self._rest, (0, BLOCK_SAMPLES - len(self._rest)))
            self._rest = self._rest[:0]
