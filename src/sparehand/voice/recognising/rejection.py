"""What is not meant for the bench is not acted on: pure gates over what was measured of an utterance."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain
from typing import Literal

from sparehand.voice.phrases.phrase_table import Pattern
from sparehand.voice.phrases.spoken_numbers import DIGIT_WORDS
from sparehand.voice.recognising.recogniser import Recognition
from sparehand.voice.sound.samples import Utterance, Word

SensitivityName = Literal["careful", "normal", "keen"]
NumberKind = Literal["no number", "a number", "a reading"]
Listening = Literal["always", "call", "key"]
AmongTalk = Literal["refused", "if sure", "always"]
"""Whether a phrase counts while people talk to each other: what they hardly say to each other does if it is sure."""
IN_CONVERSATION = 0.1
"""The share of speech in the seconds before from which somebody converses, so that a pause is no end of it."""
SURE_AMONG_TALK = 0.92
SILENCE_BEFORE_IF_SURE = 1.0
"""What a phrase must have that people hardly say to each other, to count at once in a conversation: no reply of
tuning voices that sounded like one had both, in half an hour in quiet, over a wrench and in babble.
"""
NOT_SURE = "not sure enough"
DIGIT_TOO_SHORT = "a digit too short"
LEAST_DIGIT_SECONDS = 0.13
"""A shorter digit was not said: "two" is heard between "eight" and "nine". The shortest that tuning voices said rightly
took longer; of nine readings of 360 that were taken wrongly with a confidence of 0.4 or more, eight held one.
"""
CALLED = "called, and listening"
"""The call word alone is no phrase, but it opens the ears for the next one."""


@dataclass(frozen=True)
class Sensitivity:
    """How much it takes to be heard. Times in seconds; confidences 0 to 1.

    Below `least_confidence` nothing counts; from there to `sure_confidence` what changes something is asked back, and a
    question below `answered_confidence`. An answer that decides something about the vehicle is asked back below
    `deciding_confidence`. In the middle of a conversation it takes `least_confidence_in_conversation`. A reading, whose
    digits are always read back and confirmed, needs less than a number that acts at once.
    """

    least_confidence: float
    sure_confidence: float
    least_number_confidence: float
    least_reading_confidence: float
    least_silence_before: float
    least_confidence_in_conversation: float = 0.7
    least_silence_before_in_conversation: float = 3.0
    least_silence_after: float = 0.3
    least_number_silence_after: float = 0.6
    least_silence_after_in_conversation: float = 0.6
    deciding_confidence: float = 0.97
    answered_confidence: float = 0.0
    least_speech: float = 0.15
    least_speech_of_a_word: float = 0.12
    most_seconds_a_letter: float = 0.15

    @property
    def never_sure(self) -> bool:
        """Whether all is asked back that can be."""
        return self.sure_confidence > 1.0


SENSITIVITIES: dict[SensitivityName, Sensitivity] = {
    "careful": Sensitivity(0.7, 0.95, 0.9, 0.7, 0.8, least_confidence_in_conversation=0.85),
    "normal": Sensitivity(0.5, 0.85, 0.75, 0.6, 0.6),
    "keen": Sensitivity(0.4, 0.7, 0.6, 0.4, 0.3),
}
"""The three positions of the one setting."""


def refusal(
    recognition: Recognition,
    utterance: Utterance,
    sensitivity: Sensitivity,
    listening: Listening,
    *,
    number_kind: NumberKind = "no number",
    among_talk: AmongTalk = "refused",
) -> str | None:
    """The first reason not to act, as a short phrase, or None.

    With the call word or a key the speaker has shown that the bench is meant, so silence before is not asked for.
    """
    number = number_kind != "no number"
    reasons = chain(
        _not_addressed(recognition, utterance, sensitivity, listening, among_talk),
        _not_isolated(recognition, utterance, sensitivity, listening, number=number),
        _not_sure(
            recognition,
            sensitivity,
            number_kind,
            in_conversation=listening == "always" and not recognition.called and conversing(utterance),
        ),
    )
    return next(reasons, None)


def crowded(utterance: Utterance, sensitivity: Sensitivity, listening: Listening) -> bool:
    """Whether it lies in the middle of talk, so that it does not count in open listening whatever it says."""
    return listening == "always" and utterance.silence_before < sensitivity.least_silence_before


def _is_reply(recognition: Recognition, utterance: Utterance, sensitivity: Sensitivity, among_talk: AmongTalk) -> bool:
    """Whether people talk to each other, and this is part of it."""
    quiet = utterance.silence_before
    least_quiet = sensitivity.least_silence_before_in_conversation
    if among_talk == "refused":
        return utterance.in_conversation or (utterance.perhaps_in_conversation and quiet < least_quiet)
    sure = quiet >= SILENCE_BEFORE_IF_SURE and recognition.confidence >= SURE_AMONG_TALK
    return among_talk == "if sure" and utterance.in_conversation and not sure and quiet < least_quiet


def conversing(utterance: Utterance) -> bool:
    """Whether its talker was in the middle of talk just before."""
    return utterance.recent_speech >= IN_CONVERSATION


def _not_addressed(
    recognition: Recognition,
    utterance: Utterance,
    sensitivity: Sensitivity,
    listening: Listening,
    among_talk: AmongTalk,
) -> Iterator[str]:
    if listening == "call" and not recognition.called:
        yield "no call word"
    if recognition.called and not recognition.text:
        yield CALLED
    open_to_all = listening == "always" and not recognition.called
    reply = open_to_all and _is_reply(recognition, utterance, sensitivity, among_talk)
    if reply or crowded(utterance, sensitivity, listening):
        yield "too much talk before it"
    if not recognition.text:
        yield "no phrase"


def _not_isolated(
    recognition: Recognition, utterance: Utterance, sensitivity: Sensitivity, listening: Listening, *, number: bool
) -> Iterator[str]:
    one_word = " " not in recognition.text
    if utterance.silence_after < _least_silence_after(sensitivity, utterance, number=number):
        yield "too much talk after it"
    if utterance.speech_seconds < (sensitivity.least_speech_of_a_word if one_word else sensitivity.least_speech):
        yield "too short for speech"
    letters = len(recognition.text.replace(" ", ""))
    longest = sensitivity.most_seconds_a_letter * letters + (0.5 if one_word else 0.3)
    if listening == "always" and utterance.speech_seconds > longest:
        yield "too long for these words"


def _not_sure(
    recognition: Recognition, sensitivity: Sensitivity, number_kind: NumberKind, *, in_conversation: bool
) -> Iterator[str]:
    least = {
        "no number": sensitivity.least_confidence,
        "a number": sensitivity.least_number_confidence,
        "a reading": sensitivity.least_reading_confidence,
    }[number_kind]
    if in_conversation and number_kind != "a reading":
        least = max(least, sensitivity.least_confidence_in_conversation)
    if number_kind == "a reading" and any(map(is_digit_too_short, recognition.words)):
        yield DIGIT_TOO_SHORT
    if recognition.confidence < least:
        yield NOT_SURE


def is_digit_too_short(word: Word) -> bool:
    """Whether a word is a digit that cannot have been said in so short a time."""
    return word.text in DIGIT_WORDS and word.end - word.start < LEAST_DIGIT_SECONDS


def _least_silence_after(sensitivity: Sensitivity, utterance: Utterance, *, number: bool) -> float:
    if number:
        return sensitivity.least_number_silence_after
    if conversing(utterance):
        return sensitivity.least_silence_after_in_conversation
    return sensitivity.least_silence_after


def number_kind(pattern: Pattern | None, text: str) -> NumberKind:
    """The kind of number in a phrase, by how much harm a wrong one would do: digits are always read back.

    A single digit alone is what noise and cut words are taken for, and hardly ever a reading.
    """
    if pattern is None or not pattern.holds_number:
        return "no number"
    return "a reading" if "digits" in pattern.slots and " " in text else "a number"
