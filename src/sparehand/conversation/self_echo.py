"""The assistant does not answer its own question, even where a headset leaks into its own microphone."""

from __future__ import annotations

import re

from sparehand.job.commands import Refuse
from sparehand.voice.recognising.heard import Heard

ECHO_SECONDS = 0.3
"""How long after its end its own speech may still arrive. A person's answer mostly ends later than the question."""


class OwnWords:
    """Knows what was said last, and until when in stream time it sounded.

    A question ends with the words of its safe answer, "no cancel", and with the quiet that an answer has around it.
    What else is said stands within sentences, which no more act than talk does.
    """

    def __init__(self) -> None:
        self._text = ""
        self._until = -1.0

    def say(self, text: str) -> None:
        """This text is spoken from now on."""
        self._text = _plain(text)

    def sounding(self, stream_seconds: float) -> None:
        """Something still sounds at that time of the stream."""
        self._until = stream_seconds

    def are(self, heard: Heard) -> bool:
        """Whether what was heard is the end of a question that was being asked, not its answer."""
        words = heard.phrase.words
        ended = words[-1].end if words else heard.phrase.end
        asked = isinstance(heard.command, Refuse) and self._text.endswith(_plain(heard.text))
        return asked and ended <= self._until + ECHO_SECONDS


def _plain(text: str) -> str:
    return " ".join(re.findall(r"[a-z']+", text.lower()))
