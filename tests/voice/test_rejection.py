from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from sparehand.clock import start_of_run
from sparehand.voice.recogniser import Recognition
from sparehand.voice.rejection import SENSITIVITIES, Listening, refusal
from sparehand.voice.sound import Utterance

GOOD = Utterance(
    samples=np.zeros(0, np.float32),
    start=10.0,
    end=11.0,
    decided_at=11.4,
    speech_seconds=0.8,
    silence_before=2.0,
    silence_after=0.7,
    moment=start_of_run(datetime(2030, 1, 7, 8, tzinfo=UTC), "test").now(),
)
HEARD = Recognition("repeat torque", confidence=0.95)


def _refusal(
    utterance: Utterance = GOOD, heard: Recognition = HEARD, listening: Listening = "always", *, number: bool = False
) -> str | None:
    return refusal(heard, utterance, SENSITIVITIES["normal"], listening, number=number)


def test_a_clear_phrase_in_quiet_is_not_refused() -> None:
    assert _refusal() is None


@pytest.mark.parametrize(
    ("utterance", "heard", "number", "reason"),
    [
        (GOOD, replace(HEARD, text=""), False, "no phrase"),
        (replace(GOOD, silence_before=0.4), HEARD, False, "too much talk before it"),
        (replace(GOOD, silence_after=0.1), HEARD, False, "too much talk after it"),
        (replace(GOOD, silence_after=0.4), HEARD, True, "too much talk after it"),
        (replace(GOOD, speech_seconds=0.1), HEARD, False, "too short for speech"),
        (replace(GOOD, speech_seconds=3.0), HEARD, False, "too long for these words"),
        (GOOD, replace(HEARD, confidence=0.5), False, "not sure enough"),
        (GOOD, replace(HEARD, confidence=0.72), True, "not sure enough"),
        (GOOD, replace(HEARD, witness="repeat talk"), True, "heard as two different numbers"),
    ],
)
def test_each_gate_gives_its_own_reason(utterance: Utterance, heard: Recognition, number: bool, reason: str) -> None:
    assert _refusal(utterance, heard, number=number) == reason


def test_the_call_word_stands_for_the_quiet_before() -> None:
    busy = replace(GOOD, silence_before=0.1)
    assert _refusal(busy, replace(HEARD, called=True), "call") is None
    assert _refusal(busy, HEARD, "call") == "no call word"
    assert _refusal(busy, HEARD, "key") is None


def test_the_careful_position_asks_for_more_than_the_keen_one() -> None:
    careful, normal, keen = (SENSITIVITIES[name] for name in ("careful", "normal", "keen"))
    assert careful.least_confidence > normal.least_confidence > keen.least_confidence
    assert careful.least_silence_before > normal.least_silence_before > keen.least_silence_before
