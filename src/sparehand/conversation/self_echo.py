"""The assistant does not answer itself, even where a headset leaks into its own microphone."""

from __future__ import annotations

import re
from dataclasses import replace

from sparehand.job import commands as c
from sparehand.voice.recognising.heard import Heard

ECHO_SECONDS = 0.3
"""How long after its end its own speech may still arrive. A person's answer mostly ends later than the question."""


PASSED_OVER = 2
"""How many words before and after a phrase change nothing: "okay", "please"."""
_DECIDES = (
    c.Confirm,
    c.Refuse,
    c.Understood,
    c.Renewed,
    c.MarkIsMade,
    c.MarkIsFound,
    c.ConditionHolds,
    c.CheckPassed,
    c.Finding,
)
"""What is taken as a person's word; questions and steps name these answers, so that they can be given."""


class SelfEcho:
    """Knows what was said last, and until when in stream time it sounded.

    An answer that decides something does not count while it is being named. What else is said stands within sentences,
    which no more act than talk does.
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
        """What was heard, no longer accepted where it is an answer that was being named, not given."""
        if heard.accepted and self._is_own(heard):
            return replace(heard, accepted=False, reason="said by the bench itself", near_miss=False)
        return heard

    def _is_own(self, heard: Heard) -> bool:
        words = heard.phrase.words
        ended = words[-1].end if words else heard.phrase.end
        named = isinstance(heard.command, _DECIDES) and self._names(_plain(heard.text).split())
        return named and ended <= self._until + ECHO_SECONDS

    def _names(self, words: list[str]) -> bool:
        """Whether what is said holds those words, but for what is passed over around them."""
        ends = range(PASSED_OVER + 1)
        cores = (words[before : len(words) - after] for before in ends for after in ends)
        return any(f" {' '.join(core)} " in f" {self._text} " for core in cores if len(core) > 1)


def _plain(text: str) -> str:
    return " ".join(re.findall(r"[a-z']+", text.lower()))
