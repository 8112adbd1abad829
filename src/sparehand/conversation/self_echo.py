"""The assistant does not answer itself, even where a headset leaks into its own microphone."""

from __future__ import annotations

import re
from dataclasses import replace

from sparehand.job import commands as c
from sparehand.voice.recognising.heard import Heard
from sparehand.voice.sound.blocks import BLOCK_SECONDS
from sparehand.voice.sound.level import level_of, loudest_db
from sparehand.voice.sound.samples import SoundBlock

ECHO_SECONDS = 0.3
"""How long after its end its own speech may still arrive. A person's answer mostly ends later than the question."""


LOUDER_DB = 12.0
"""A voice says its own words by turns 6 dB louder and softer; nobody's own word comes so far above the rest."""
LEAST_BLOCKS = round(0.5 / BLOCK_SECONDS)
"""Of its own voice before the answer, to know how loud that is."""
TOO_SOON = "said before its question had ended, say it again"
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

    An answer that decides something does not count while it is being named, unless it is LOUDER_DB louder than all that
    the bench's own voice has brought into the microphone before. What else is said stands within sentences, which no
    more act than talk does.
    """

    def __init__(self) -> None:
        self._text = ""
        self._until = -1.0
        self._levels: list[tuple[float, float]] = []

    def say(self, text: str) -> None:
        """From now on `text` is spoken."""
        self._text = _plain(text)

    def sounding(self, block: SoundBlock) -> None:
        """The bench speaks in this block of what the microphone gives."""
        if block.start_seconds > self._until + ECHO_SECONDS:
            self._levels.clear()
        self._until = block.end_seconds
        self._levels.append((block.end_seconds, level_of(block.samples).db))

    def rejected(self, heard: Heard) -> Heard:
        """What was heard, no longer accepted where it is an answer that was being named, not given.

        One that ended after the bench's voice is a near miss, for it may well be a person's.
        """
        words = heard.phrase.words
        ended = words[-1].end if words else heard.phrase.end
        if not heard.accepted or ended > self._until + ECHO_SECONDS or not self._is_named(heard):
            return heard
        reason = TOO_SOON if ended > self._until else "said by the bench itself"
        return replace(heard, accepted=False, reason=reason, near_miss=ended > self._until)

    def _is_named(self, heard: Heard) -> bool:
        named = isinstance(heard.command, _DECIDES) and self._names(_plain(heard.text).split())
        return named and not self._louder_than_own(heard)

    def _louder_than_own(self, heard: Heard) -> bool:
        """Whether a person is nearer to the microphone than what leaks into it of the bench's voice."""
        before = [level for at, level in self._levels if at <= heard.phrase.start]
        if heard.level_db is None or len(before) < LEAST_BLOCKS:
            return False
        return heard.level_db >= loudest_db(before) + LOUDER_DB

    def _names(self, words: list[str]) -> bool:
        """Whether what is said holds those words, but for what is passed over around them."""
        ends = range(PASSED_OVER + 1)
        cores = (words[before : len(words) - after] for before in ends for after in ends)
        return any(f" {' '.join(core)} " in f" {self._text} " for core in cores if len(core) > 1)


def _plain(text: str) -> str:
    return " ".join(re.findall(r"[a-z']+", text.lower()))
