"""Who has just spoken: whether an utterance is one of a conversation, told by the voices that take turns in it."""

from __future__ import annotations

from collections import deque
from dataclasses import replace
from statistics import median

from sparehand.voice.recognising.recogniser import Recogniser
from sparehand.voice.recognising.rescoring import QUIET_DB
from sparehand.voice.recognising.voice_print import VoicePrint
from sparehand.voice.segmenting.segments import RECENT_SPEECH_SECONDS
from sparehand.voice.sound.level import signal_to_noise_db
from sparehand.voice.sound.samples import Utterance

ANOTHER_BELOW = 0.4
"""Voice prints less alike than that are of two people: in a quiet room 6 % of the pairs of one tuning voice's phrases,
58 % of the pairs of two voices'.
"""
ONE_VOICE_FROM = 0.5
"""The median likeness to the turns before from which all are one person's. In a quiet room 87 % of one voice's pairs
reach it, and 25 % of two voices'.
"""
_MOST_TURNS = 8


class Talkers:
    """Remembers the voices of what was said last and not acted on."""

    def __init__(self, recogniser: Recogniser) -> None:
        self._recogniser = recogniser
        self._turns: deque[tuple[float, VoicePrint]] = deque(maxlen=_MOST_TURNS)
        self._conversation_until = 0.0

    def in_turn(self, utterance: Utterance) -> Utterance:
        """The same with how many of the utterances just before that were not acted on were another person's.

        A conversation goes on for some seconds, in which nobody's voice is told from the others' any more.
        """
        since = utterance.start - RECENT_SPEECH_SECONDS
        recent = [voice for end, voice in self._turns if end >= since]
        voice = self._voice_of(utterance) if recent else None
        likeness = [voice.likeness(other) for other in recent] if voice is not None else []
        others = sum(one < ANOTHER_BELOW for one in likeness)
        if others:
            self._conversation_until = utterance.end + RECENT_SPEECH_SECONDS
        in_conversation = utterance.start < self._conversation_until
        one_voice = bool(likeness) and median(likeness) >= ONE_VOICE_FROM
        return replace(utterance, other_turns=max(others, int(in_conversation)), one_voice=one_voice)

    def unanswered(self, utterance: Utterance) -> None:
        """Remember an utterance that is over and was not acted on."""
        if (voice := self._voice_of(utterance)) is not None:
            self._turns.append((utterance.end, voice))

    def _voice_of(self, utterance: Utterance) -> VoicePrint | None:
        """Noise makes one voice seem two: over a wrench 20 dB below, commands were lost to a conversation of one."""
        quiet = signal_to_noise_db(utterance.samples) >= QUIET_DB
        return self._recogniser.voice_of(utterance.samples) if quiet else None
