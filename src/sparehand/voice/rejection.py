"""What is not meant for the bench is not acted on: pure gates over what was measured of an utterance."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from sparehand.voice.recogniser import Recognition
from sparehand.voice.sound import Utterance

SensitivityName = Literal["careful", "normal", "keen"]
Listening = Literal["always", "call", "key"]
CALLED = "called, and listening"
"""The call word alone is no phrase, but it opens the ears for the next one."""


@dataclass(frozen=True)
class Sensitivity:
    """How much it takes to be heard. Times in seconds; confidences 0 to 1."""

    least_confidence: float
    least_number_confidence: float
    least_silence_before: float
    least_silence_after: float = 0.3
    least_number_silence_after: float = 0.6
    least_speech: float = 0.15
    least_speech_of_a_word: float = 0.12
    most_seconds_a_letter: float = 0.15


SENSITIVITIES: dict[SensitivityName, Sensitivity] = {
    "careful": Sensitivity(least_confidence=0.85, least_number_confidence=0.9, least_silence_before=0.8),
    "normal": Sensitivity(least_confidence=0.7, least_number_confidence=0.75, least_silence_before=0.6),
    "keen": Sensitivity(least_confidence=0.5, least_number_confidence=0.6, least_silence_before=0.3),
}
"""The three positions of the one setting."""


def refusal(
    recognition: Recognition, utterance: Utterance, sensitivity: Sensitivity, listening: Listening, *, number: bool
) -> str | None:
    """The first reason not to act, as a short phrase, or None. `number` says whether the phrase holds a number.

    With the call word or a key the speaker has shown that the bench is meant, so silence before is not asked for.
    """
    return next(_reasons(recognition, utterance, sensitivity, listening, number), None)


def _reasons(
    recognition: Recognition, utterance: Utterance, sensitivity: Sensitivity, listening: Listening, number: bool
) -> Iterator[str]:
    one_word = " " not in recognition.text
    if listening == "call" and not recognition.called:
        yield "no call word"
    if recognition.called and not recognition.text:
        yield CALLED
    if not recognition.text:
        yield "no phrase"
    if listening == "always" and utterance.silence_before < sensitivity.least_silence_before:
        yield "too much talk before it"
    if utterance.silence_after < (
        sensitivity.least_number_silence_after if number else sensitivity.least_silence_after
    ):
        yield "too much talk after it"
    if utterance.speech_seconds < (sensitivity.least_speech_of_a_word if one_word else sensitivity.least_speech):
        yield "too short for speech"
    letters = len(recognition.text.replace(" ", ""))
    longest = sensitivity.most_seconds_a_letter * letters + (0.5 if one_word else 0.3)
    if listening == "always" and utterance.speech_seconds > longest:
        yield "too long for these words"
    if recognition.confidence < (sensitivity.least_number_confidence if number else sensitivity.least_confidence):
        yield "not sure enough"
    if number and recognition.witness is not None and recognition.witness != recognition.text:
        yield "heard as two different numbers"
