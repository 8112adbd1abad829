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
TURNS_OF_ONE_VOICE = 4
TURNS_OF_ANY = 3
"""So many utterances in a row are talk, and no command that was missed and said again: in what is clearly one voice,
and in all else.
"""
DOUBTFUL_TURNS = 2
"""Utterances after which it may be talk, where noise hides whose voice it is."""
BRISK_SECONDS = 1.0
"""People answer each other sooner; who says again what the bench missed has listened for its answer."""
PAUSES_HEARD_DB = 12.0
"""Speech above noise from which the pauses of talk can be told from it: in babble there are none."""
CONVERSATION_SECONDS = 15.0
"""How long a conversation goes on after its last sign. With 8 s tuning voices' replies set off 10 acts, with 15 s 8."""
_MOST_TURNS = 8


class Talkers:
    """Remembers what was said last and not acted on, and tells by it whether people talk to each other."""

    def __init__(self, recogniser: Recogniser) -> None:
        self._recogniser = recogniser
        self._turns: deque[tuple[float, VoicePrint]] = deque(maxlen=_MOST_TURNS)
        self._conversation_until = 0.0

    def in_turn(self, utterance: Utterance) -> Utterance:
        """The same with whether it is part of a conversation, which goes on for CONVERSATION_SECONDS."""
        snr_db = signal_to_noise_db(utterance.samples)
        if utterance.recent_turns and self._answers(utterance, snr_db):
            self._conversation_until = utterance.end + CONVERSATION_SECONDS
        return replace(
            utterance,
            in_conversation=utterance.start < self._conversation_until,
            perhaps_in_conversation=utterance.recent_turns >= DOUBTFUL_TURNS and snr_db < QUIET_DB,
        )

    def _answers(self, utterance: Utterance, snr_db: float) -> bool:
        """Whether it follows what was not acted on at once, in another voice, or as one more of many."""
        if utterance.silence_before < BRISK_SECONDS and snr_db >= PAUSES_HEARD_DB:
            return True
        since = utterance.start - RECENT_SPEECH_SECONDS
        recent = [voice for end, voice in self._turns if end >= since]
        voice = self._voice_of(utterance, snr_db) if recent else None
        likeness = [voice.likeness(other) for other in recent] if voice is not None else []
        one_voice = bool(likeness) and median(likeness) >= ONE_VOICE_FROM
        turns = TURNS_OF_ONE_VOICE if one_voice else TURNS_OF_ANY
        return utterance.recent_turns >= turns or any(one < ANOTHER_BELOW for one in likeness)

    def unanswered(self, utterance: Utterance) -> None:
        """Remember an utterance that is over and was not acted on."""
        if (voice := self._voice_of(utterance, signal_to_noise_db(utterance.samples))) is not None:
            self._turns.append((utterance.end, voice))

    def _voice_of(self, utterance: Utterance, snr_db: float) -> VoicePrint | None:
        """Noise makes one voice seem two: over a wrench 20 dB below, commands were lost to a conversation of one."""
        return self._recogniser.voice_of(utterance.samples) if snr_db >= QUIET_DB else None
