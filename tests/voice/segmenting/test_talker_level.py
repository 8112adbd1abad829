"""The loudness gate: levels of blocks in, what can be the talker's out. Levels in decibels of full scale."""

import numpy as np
import pytest

from sparehand.voice.segmenting.talker_level import BACKGROUND_BLOCKS, WINDOW_DB, TalkerLevel

TALKER = -20.0
SOFT = TALKER - 10.0
BABBLE = -40.0
FULL = BACKGROUND_BLOCKS


def _babble(blocks: int = FULL) -> list[float]:
    """Several people at once, 20 dB below the talker: levels that vary by little."""
    return [float(level) for level in np.random.default_rng(5).normal(BABBLE, 2.0, blocks)]


def _radio(blocks: int = FULL) -> list[float]:
    """One announcer as loud as the babble's loudest, who pauses."""
    return [BABBLE + 6.0 if at % 10 < 5 else -70.0 for at in range(blocks)]


def _after(talker: float, background: list[float], *, among_talk: bool = True) -> TalkerLevel:
    """The gate after a phrase of the talker, which was acted on, and what sounded then."""
    level = TalkerLevel(among_talk=among_talk)
    _say(level, talker)
    level.end_utterance()
    for heard in background:
        level.pass_block(heard, voiced=True, idle=True, echo=False)
    return level


def _say(level: TalkerLevel, loudness: float, blocks: int = 20) -> None:
    for _ in range(blocks):
        level.pass_block(loudness, voiced=True, idle=False, echo=False)
        level.learn(loudness)
    level.leave_out(blocks)


@pytest.mark.parametrize("louder", [0.0, 8.0])
def test_out_of_babble_stands_a_phrase_far_softer_than_the_one_before(louder: float) -> None:
    level = _after(TALKER + louder, _babble())
    assert level.near(SOFT)
    assert np.mean([level.near(heard) for heard in _babble()]) < 0.03


def test_over_a_radio_what_is_no_louder_than_its_words_opens_nothing() -> None:
    level = _after(TALKER, _radio())
    assert not any(level.near(heard) for heard in _radio())
    assert level.near(TALKER - WINDOW_DB)


def test_a_soft_phrase_ends_where_the_babble_is_heard_again() -> None:
    level = _after(TALKER, _babble())
    _say(level, SOFT)
    assert level.near(SOFT - 1.0), "its own softer syllables belong to it"
    assert np.mean([level.near(heard) for heard in _babble()]) < 0.03, "8 dB below it is babble"


def test_missed_phrases_in_the_background_hardly_move_where_an_utterance_ends() -> None:
    background = _babble()
    background[::4] = [TALKER] * len(background[::4])
    level = _after(TALKER, background)
    _say(level, TALKER)
    assert level.near(TALKER - WINDOW_DB + 0.1)


def test_only_a_background_that_goes_on_is_talk() -> None:
    pauses = [-200.0 if at % 10 < 5 else BABBLE for at in range(FULL)]
    assert _after(TALKER, _babble()).talk_goes_on
    assert not _after(TALKER, pauses).talk_goes_on


def test_where_noise_is_not_told_from_speech_the_gate_stays_within_8_db_of_the_talker() -> None:
    level = _after(TALKER, _babble(), among_talk=False)
    assert not level.near(SOFT)
    assert not level.talk_goes_on
