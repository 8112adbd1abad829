"""The assistant does not answer its own question, even where a headset leaks into its own microphone."""

from __future__ import annotations

import re
from dataclasses import replace

from sparehand.job.commands import Refuse
from sparehand.voice.recognising.heard import Heard

ECHO_SECONDS = 0.3
"""How long after its end its own speech may still arrive. A person's answer mostly ends later than the question."""


class SelfEcho:
    """Knows what was said last, and until when in stream time it sounded.

    A question ends with the words of its safe answer, "no cancel", and with the quiet that an answer has around it.
    What else is said stands within sentences, which no more act than talk does.
    """

    def __init__(self) -> None:
        self._text = ""
        self._until = -1.0

    def say(self, text: str) -> None:
        """From now on `text` is spoken."""
        self._text = _plain(text)

    def sounding(self, stream_seconds: float) -> None:
        """Something still sounds at that time of the stream."""
        self._until = stream_seconds

    def rejected(self, heard: Heard) -> Heard:
        """What was heard, no longer accepted where it is the end of a question that was being asked, not its answer."""
        if heard.accepted and self._is_own(heard):
            return replace(heard, accepted=False, reason="said by the bench itself", near_miss=False)
        return heard

    def _is_own(self, heard: Heard) -> bool:
        words = heard.phrase.words
        ended = words[-1].end if words else heard.phrase.end
        asked = isinstance(heard.command, Refuse) and self._text.endswith(_plain(heard.text))
        return asked and ended <= self._until + ECHO_SECONDS


def _plain(text: str) -> str:
    return " ".join(re.findall(r"[a-z']+", text.lower()))
