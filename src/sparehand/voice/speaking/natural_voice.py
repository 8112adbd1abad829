"""The natural voice, where its wheel is installed (the extra `natural`): a small neural synthesiser, model and all."""

from __future__ import annotations

import sys
from importlib.util import find_spec

from sparehand.voice.speaking.synthesis_messages import SpeakRequest, Voice, WorkerReply

NATURAL = Voice("natural", "natural voice, American English", ("en-us",))
SYSTEM_VOICE = "gmw/en-us" if sys.platform == "linux" else None
"""The voice where the natural one is not: English by its id on Linux, else the system's own choice."""
OWN_WORDS_PER_MINUTE = 160
"""How fast it speaks where nobody asks for another speed; between half and twice that it can be asked for."""
_SLOWEST, _FASTEST = 0.5, 2.0


def default_voice() -> str | None:
    """The assistant's voice where the settings name none."""
    return NATURAL.id if natural_voice_is_installed() else SYSTEM_VOICE


def natural_voice_is_installed() -> bool:
    """Whether its wheel is there."""
    return find_spec("hibari") is not None


class NaturalDriver:
    """Writes sound files of 24,000 samples a second. Nothing is ever downloaded: its one voice ships in the wheel."""

    def __init__(self) -> None:
        """Load it. Raises ImportError or RuntimeError where it cannot be."""
        from hibari import Hibari

        self._synthesise = Hibari()
        self._synthesise("Ready.")

    def speak(self, request: SpeakRequest) -> WorkerReply:
        """Write the request's sound file."""
        import soundfile

        speed = min(max(request.words_per_minute / OWN_WORDS_PER_MINUTE, _SLOWEST), _FASTEST)
        samples = self._synthesise(request.text, speed=speed, seed=0)
        if not len(samples):
            return WorkerReply(error="the natural voice has no sound for it")
        soundfile.write(request.file, request.volume * samples, self._synthesise.sample_rate)
        return WorkerReply()
