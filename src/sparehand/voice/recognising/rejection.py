"""What is not meant for the bench is not acted on: pure gates over what was measured of an utterance."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from sparehand.voice.recognising.recogniser import Recognition
from sparehand.voice.sound.samples import Utterance

SensitivityName = Literal["careful", "normal", "keen"]
Holds = Literal["no number", "a number", "a reading"]
Listening = Literal["always", "call", "key"]
IN_TALK = 0.1
"""The share of the seconds before from which somebody is in the middle of talk, whose pauses are no ends of it."""
CALLED = "called, and listening"
"""The call word alone is no phrase, but it opens the ears for the next one."""


@dataclass(frozen=True)
class Sensitivity:
    """How much it takes to be heard. Times in seconds; confidences 0 to 1.

    A reading, whose digits are always read back and confirmed, needs less than a number that acts at once.
    """

    least_confidence: float
    least_number_confidence: float
    least_reading_confidence: float
    least_silence_before: float
    least_silence_after: float = 0.3
    least_number_silence_after: float = 0.6
    least_silence_after_in_talk: float = 0.6
    least_speech: float = 0.15
    least_speech_of_a_word: float = 0.12
    most_seconds_a_letter: float = 0.15


SENSITIVITIES: dict[SensitivityName, Sensitivity] = {
    "careful": Sensitivity(0.85, least_number_confidence=0.9, least_reading_confidence=0.75, least_silence_before=0.8),
    "normal": Sensitivity(0.7, least_number_confidence=0.75, least_reading_confidence=0.5, least_silence_before=0.6),
    "keen": Sensitivity(0.5, least_number_confidence=0.6, least_reading_confidence=0.4, least_silence_before=0.3),
}
"""The three positions of the one setting."""


def refusal(
    recognition: Recognition,
    utterance: Utterance,
    sensitivity: Sensitivity,
    listening: Listening,
    *,
    holds: Holds = "no number",
) -> str | None:
    """The first reason not to act, as a short phrase, or None.

    With the call word or a key the speaker has shown that the bench is meant, so silence before is not asked for.
    """
    return next(_reasons(recognition, utterance, sensitivity, listening, holds), None)


def crowded(utterance: Utterance, sensitivity: Sensitivity, listening: Listening) -> bool:
    """Whether it stands in the middle of talk, so that it does not count in open listening whatever it says."""
    return listening == "always" and utterance.silence_before < sensitivity.least_silence_before


def _least_confidence(sensitivity: Sensitivity, holds: Holds) -> float:
    match holds:
        case "no number":
            return sensitivity.least_confidence
        case "a number":
            return sensitivity.least_number_confidence
        case "a reading":
            return sensitivity.least_reading_confidence


def _least_silence_after(sensitivity: Sensitivity, utterance: Utterance, *, number: bool) -> float:
    if number:
        return sensitivity.least_number_silence_after
    if utterance.own_talk >= IN_TALK:
        return sensitivity.least_silence_after_in_talk
    return sensitivity.least_silence_after


def _reasons(
    recognition: Recognition, utterance: Utterance, sensitivity: Sensitivity, listening: Listening, holds: Holds
) -> Iterator[str]:
    number = holds != "no number"
    one_word = " " not in recognition.text
    if listening == "call" and not recognition.called:
        yield "no call word"
    if recognition.called and not recognition.text:
        yield CALLED
    if crowded(utterance, sensitivity, listening):
        yield "too much talk before it"
    if not recognition.text:
        yield "no phrase"
    if utterance.silence_after < _least_silence_after(sensitivity, utterance, number=number):
        yield "too much talk after it"
    if utterance.speech_seconds < (sensitivity.least_speech_of_a_word if one_word else sensitivity.least_speech):
        yield "too short for speech"
    letters = len(recognition.text.replace(" ", ""))
    longest = sensitivity.most_seconds_a_letter * letters + (0.5 if one_word else 0.3)
    if listening == "always" and utterance.speech_seconds > longest:
        yield "too long for these words"
    if recognition.confidence < _least_confidence(sensitivity, holds):
        yield "not sure enough"
    if number and recognition.witness is not None and recognition.witness != recognition.text:
        yield "heard as two different numbers"
