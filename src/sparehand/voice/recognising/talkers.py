"""Who has just spoken: whether an utterance is one of a conversation, told by the voices that take turns in it."""

from __future__ import annotations

from collections import deque
from dataclasses import replace

from sparehand.voice.recognising.recogniser import Recogniser
from sparehand.voice.recognising.voice_print import VoicePrint
from sparehand.voice.segmenting.segments import RECENT_SPEECH_SECONDS
from sparehand.voice.sound.samples import Utterance

ANOTHER_BELOW = 0.2
"""Voice prints less alike than that are of two people. Of pairs by one tuning voice 5 % are, of pairs by two 35 %; in
a quiet room half."""
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
        voice = self._recogniser.voice_of(utterance.samples) if recent else None
        others = 0 if voice is None else sum(voice.likeness(other) < ANOTHER_BELOW for other in recent)
        if others:
            self._conversation_until = utterance.end + RECENT_SPEECH_SECONDS
        in_conversation = utterance.start < self._conversation_until
        return replace(utterance, other_turns=max(others, int(in_conversation)))

    def unanswered(self, utterance: Utterance) -> None:
        """Remember an utterance that is over and was not acted on."""
        if (voice := self._recogniser.voice_of(utterance.samples)) is not None:
            self._turns.append((utterance.end, voice))
