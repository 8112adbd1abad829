from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from sparehand.ground.clock import start_of_run
from sparehand.voice.recognising.recogniser import Recognition
from sparehand.voice.recognising.rejection import SENSITIVITIES, AmongTalk, Listening, NumberKind, refusal
from sparehand.voice.sound.samples import Utterance, Word

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
    utterance: Utterance = GOOD,
    heard: Recognition = HEARD,
    listening: Listening = "always",
    *,
    number_kind: NumberKind = "no number",
    among_talk: AmongTalk = "refused",
) -> str | None:
    return refusal(heard, utterance, SENSITIVITIES["normal"], listening, number_kind=number_kind, among_talk=among_talk)


def test_a_clear_phrase_in_quiet_is_not_refused() -> None:
    assert _refusal() is None


@pytest.mark.parametrize(
    ("utterance", "heard", "number_kind", "reason"),
    [
        (GOOD, replace(HEARD, text=""), "no number", "no phrase"),
        (replace(GOOD, silence_before=0.4), HEARD, "no number", "too much talk before it"),
        (replace(GOOD, in_conversation=True), HEARD, "no number", "too much talk before it"),
        (replace(GOOD, silence_after=0.1), HEARD, "no number", "too much talk after it"),
        (replace(GOOD, silence_after=0.4), HEARD, "a number", "too much talk after it"),
        (replace(GOOD, silence_after=0.4, recent_speech=0.3), HEARD, "no number", "too much talk after it"),
        (replace(GOOD, speech_seconds=0.1), HEARD, "no number", "too short for speech"),
        (replace(GOOD, speech_seconds=3.0), HEARD, "no number", "too long for these words"),
        (GOOD, replace(HEARD, confidence=0.45), "no number", "not sure enough"),
        (GOOD, replace(HEARD, confidence=0.72), "a number", "not sure enough"),
        (GOOD, replace(HEARD, confidence=0.55), "a reading", "not sure enough"),
    ],
)
def test_each_gate_gives_its_own_reason(
    utterance: Utterance, heard: Recognition, number_kind: NumberKind, reason: str
) -> None:
    assert _refusal(utterance, heard, number_kind=number_kind) == reason


def test_the_pauses_of_somebody_who_talks_are_no_ends_but_those_of_a_command_are() -> None:
    assert _refusal(replace(GOOD, silence_after=0.4)) is None
    assert _refusal(replace(GOOD, silence_after=0.65, recent_speech=0.3)) is None


def test_a_reading_needs_less_than_a_number_that_acts_at_once() -> None:
    doubtful, among_talk = replace(HEARD, confidence=0.65), replace(GOOD, silence_after=0.7, recent_speech=0.3)
    assert _refusal(GOOD, doubtful, number_kind="a reading") is None
    assert _refusal(among_talk, doubtful, number_kind="a reading") is None
    assert _refusal(among_talk, doubtful) == "not sure enough"
    assert _refusal(GOOD, doubtful, number_kind="a number") == "not sure enough"


@pytest.mark.parametrize(("seconds", "reason"), [(0.09, "a digit too short"), (0.18, None)])
def test_a_digit_too_short_to_have_been_said_is_not_read_back(seconds: float, reason: str | None) -> None:
    words = (Word("eight", 10.0, 10.2, 1.0), Word("two", 10.2, 10.2 + seconds, 0.9), Word("nine", 10.3, 10.7, 1.0))
    heard = replace(HEARD, text="eight two nine", words=words)
    assert _refusal(GOOD, heard, number_kind="a reading") == reason


def test_the_call_word_stands_for_the_quiet_before() -> None:
    busy = replace(GOOD, silence_before=0.1)
    assert _refusal(busy, replace(HEARD, called=True), "call") is None
    assert _refusal(busy, HEARD, "call") == "no call word"
    assert _refusal(busy, HEARD, "key") is None


def test_the_careful_position_asks_for_more_than_the_keen_one() -> None:
    careful, normal, keen = (SENSITIVITIES[name] for name in ("careful", "normal", "keen"))
    assert careful.least_confidence > normal.least_confidence > keen.least_confidence
    assert careful.least_silence_before > normal.least_silence_before > keen.least_silence_before


@pytest.mark.parametrize(
    ("among_talk", "confidence", "silence_before", "counts"),
    [
        ("refused", 1.0, 3.5, False),
        ("if sure", 0.95, 1.1, True),
        ("if sure", 0.95, 0.9, False),
        ("if sure", 0.8, 2.0, False),
        ("if sure", 0.8, 3.0, True),
        ("always", 0.8, 0.7, True),
    ],
)
def test_in_a_conversation_counts_what_people_hardly_say_to_each_other(
    among_talk: AmongTalk, confidence: float, silence_before: float, counts: bool
) -> None:
    talked = replace(GOOD, silence_before=silence_before, in_conversation=True)
    heard = replace(HEARD, confidence=confidence)
    assert (_refusal(talked, heard, among_talk=among_talk) is None) is counts
    assert _refusal(talked, replace(heard, called=True)) is None, "the call word is meant for it"
    assert _refusal(talked, heard, "key") is None


@pytest.mark.parametrize(
    ("among_talk", "silence_before", "counts"),
    [("refused", 2.0, False), ("refused", 3.0, True), ("if sure", 2.0, True)],
)
def test_where_noise_hides_who_talks_what_people_say_to_each_other_waits_for_quiet(
    among_talk: AmongTalk, silence_before: float, counts: bool
) -> None:
    perhaps = replace(GOOD, silence_before=silence_before, perhaps_in_conversation=True)
    assert (_refusal(perhaps, among_talk=among_talk) is None) is counts


def test_who_calls_in_the_middle_of_talk_need_not_speak_more_clearly() -> None:
    talked, doubtful = replace(GOOD, recent_speech=0.3), replace(HEARD, confidence=0.6)
    assert _refusal(talked, doubtful) == "not sure enough"
    assert _refusal(talked, replace(doubtful, called=True)) is None
