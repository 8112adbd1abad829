"""What was meant for the bench and is not acted on."""

from __future__ import annotations

from sparehand.voice.recognising.recogniser import Recognition
from sparehand.voice.recognising.rejection import DIGIT_TOO_SHORT, NOT_SURE, Listening

NEAR_MISS_CONFIDENCE = 0.3


def near_miss(reason: str | None, recognition: Recognition, listening: Listening) -> bool:
    """Whether it was meant for the bench, as far as can be told: called or with the key, or a phrase not quite sure."""
    if reason is None:
        return False
    if listening == "always":
        return reason in (NOT_SURE, DIGIT_TOO_SHORT) and recognition.confidence >= NEAR_MISS_CONFIDENCE
    addressed = listening == "key" or recognition.called
    return addressed and reason != "too short for speech" and not (recognition.called and not recognition.text)
