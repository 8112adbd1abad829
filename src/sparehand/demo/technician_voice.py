"""The invented technician's voice: another one than the assistant's, at an even level."""

from __future__ import annotations

import numpy as np

from sparehand.demo.noise import active_level
from sparehand.ground.errors import FailureError
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples
from sparehand.voice.speaking.speech import NoSpeech
from sparehand.voice.speaking.synthesis import Synthesiser

TECHNICIAN_VOICE = "gmw/en-us"
SPEECH_LEVEL = 0.08
"""Active level of every utterance, which leaves its peaks well below full scale."""

GAP_SECONDS = 0.2


class TechnicianVoice:
    """Speaks the technician's lines as a microphone nearby would hear them, without any noise."""

    def __init__(self, voice: str = TECHNICIAN_VOICE, words_per_minute: int = 140) -> None:
        self._synthesiser = Synthesiser(voice, words_per_minute, timeout_seconds=30.0)

    def utterance(self, text: str) -> Samples:
        """The samples of a line at SAMPLE_RATE. Raises FailureError where this machine has no such voice."""
        spoken = self._synthesiser.synthesise(text)
        if isinstance(spoken, NoSpeech):
            raise FailureError(f"the demo's technician cannot speak: {spoken.reason}; see `sparehand selfcheck`")
        even = spoken.samples * (SPEECH_LEVEL / max(active_level(spoken.samples), 1e-6))
        return np.asarray(np.clip(even, -1.0, 1.0), np.float32)

    def called(self, call_word: str, text: str) -> Samples:
        """The call word, the gap that people leave after it, and the line."""
        gap = np.zeros(round(GAP_SECONDS * SAMPLE_RATE), np.float32)
        return np.concatenate([self.utterance(call_word), gap, self.utterance(text)])

    def close(self) -> None:
        """End the voice's worker."""
        self._synthesiser.close()
