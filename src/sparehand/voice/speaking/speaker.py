"""The mouth, whatever it is made of."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Protocol

from sparehand.voice.sound.samples import Samples
from sparehand.voice.speaking.tones import Tone


class Speaker(Protocol):
    """Says texts and sounds tones one after another. Nothing here blocks, and nothing here raises.

    `status` is empty while sound comes out, else the reason why none does; what is said is on the screen anyway.
    """

    @property
    def speaking(self) -> bool:
        """Whether anything sounds or waits to sound."""
        ...

    @property
    def mute(self) -> bool:
        """Whether nothing that it is to say can be heard by anybody."""
        ...

    @property
    def status(self) -> str:
        """Why nothing is heard, or nothing where all is well."""
        ...

    def say(self, text: str) -> None:
        """Speak `text` after what is being said."""
        ...

    def signal(self, tone: Tone) -> None:
        """Sound a tone after what is being said."""
        ...

    def play(self, samples: Samples) -> None:
        """Play a recording of SAMPLE_RATE after what is being said."""
        ...

    def prepare(self, texts: Iterable[str]) -> None:
        """Have `texts` ready, for they are likely to be said next."""
        ...

    def stop(self) -> None:
        """Fall silent at once and forget what waits."""
        ...

    def close(self) -> None:
        """Stop for good."""
        ...


class SilentSpeaker:
    """Says nothing: muted, which needs no reason, or without a voice or a device, which does."""

    def __init__(self, reason: str = "") -> None:
        self._reason = reason

    @property
    def speaking(self) -> bool:
        """Never."""
        return False

    @property
    def mute(self) -> bool:
        """Always."""
        return True

    @property
    def status(self) -> str:
        """The reason given."""
        return self._reason

    def say(self, text: str) -> None:
        """Nothing."""

    def signal(self, tone: Tone) -> None:
        """Nothing."""

    def play(self, samples: Samples) -> None:
        """Nothing."""

    def prepare(self, texts: Iterable[str]) -> None:
        """Nothing."""

    def stop(self) -> None:
        """Nothing."""

    def close(self) -> None:
        """Nothing."""
