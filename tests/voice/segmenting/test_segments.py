from dataclasses import replace

import numpy as np
import pytest

from sparehand.voice.segmenting.segments import END_SECONDS, PAUSE_SECONDS, Pause, Segmenter
from sparehand.voice.sound.blocks import BLOCK_SAMPLES, BLOCK_SECONDS
from voice.sounds import LoudIsSpeech, talk


def _pauses(*lengths: float) -> list[Pause]:
    segmenter = Segmenter(LoudIsSpeech(), longest_seconds=4.0)
    found = [segmenter.hear(block) for block in talk(*lengths)]
    return [pause for pause in (*found, segmenter.finish()) if pause]


def test_an_utterance_pauses_and_then_is_over() -> None:
    pause, over = _pauses(0.0, 1.0, 0.96, 1.5)
    assert (pause.over, over.over) == (False, True)
    assert pause.utterance.silence_after == pytest.approx(PAUSE_SECONDS, abs=0.033)
    assert over.utterance.silence_after == pytest.approx(END_SECONDS, abs=0.033)
    assert not over.changed


def test_what_is_measured_of_it_is_in_stream_time() -> None:
    utterance = _pauses(0.0, 1.28, 0.96, 1.5)[-1].utterance
    assert utterance.end == pytest.approx(1.28 + 0.96)
    assert utterance.speech_seconds == pytest.approx(0.96)
    assert utterance.start == pytest.approx(1.28 - 0.3, abs=0.033)
    assert utterance.end <= utterance.decided_at <= utterance.end + END_SECONDS + 0.033


def test_silence_before_counts_from_the_last_speech() -> None:
    assert _pauses(0.0, 1.0, 0.64, 1.28, 0.64, 1.5)[-1].utterance.silence_before == pytest.approx(1.28)


def test_a_hesitation_is_not_its_end() -> None:
    pauses = _pauses(0.0, 1.0, 0.64, 0.5, 0.64, 1.5)
    assert [pause.over for pause in pauses] == [False, False, True]
    assert [pause.changed for pause in pauses] == [True, True, False]
    assert pauses[-1].utterance.speech_seconds == pytest.approx(1.28)


def test_long_talk_is_left_alone_until_it_is_quiet() -> None:
    assert _pauses(0.0, 1.0, 5.0, 1.5) == []
    assert len(_pauses(0.0, 1.0, 5.0, 1.5, 0.64, 1.5)) == 2


def test_what_a_far_voice_began_is_no_part_of_it() -> None:
    segmenter = Segmenter(LoudIsSpeech(), longest_seconds=4.0)
    quiet = np.float32(0.1)
    blocks = talk(0.0, 1.0, 2.0, 0.0, 0.96, 1.5)
    far = [replace(block, samples=block.samples * quiet) if block.end_seconds <= 3.05 else block for block in blocks]
    utterance = [pause for block in far if (pause := segmenter.hear(block))][-1].utterance
    assert utterance.speech_seconds == pytest.approx(0.96, abs=0.07)
    assert utterance.silence_before == pytest.approx(5.0)
    assert utterance.start == pytest.approx(3.0 - 0.3, abs=0.07)


@pytest.mark.parametrize(("acted_on", "share"), [(True, 0.0), (False, 0.96 / 8.0)])
def test_recent_speech_is_what_the_talker_said_that_was_not_acted_on_and_no_radio(acted_on: bool, share: float) -> None:
    segmenter, found = Segmenter(LoudIsSpeech(above=0.0), longest_seconds=4.0), list[Pause]()
    for block in talk(0.96, 1.5, 2.0, 0.0, 0.96, 1.5):
        radio = 2.4 < block.end_seconds < 4.45
        if pause := segmenter.hear(replace(block, samples=block.samples * (0.1 if radio else 1))):
            found.append(pause)
            if acted_on and pause.over:
                segmenter.take()
    assert found[0].utterance.recent_speech == 0
    assert found[-1].utterance.recent_speech == pytest.approx(share, abs=0.03)


def test_one_loud_block_is_no_speech() -> None:
    assert _pauses(0.0, 1.0, 0.032, 1.5) == []


def test_the_end_of_the_stream_ends_an_utterance() -> None:
    (pause,) = _pauses(0.0, 1.0, 0.64, 0.1)
    assert pause.over


def _levelled(segmenter: Segmenter, *parts: tuple[float, float]) -> list[Pause]:
    """What is cut of a stream whose parts last so many seconds at so many decibels; quiet between is at -90."""
    levels = np.repeat([level for _, level in parts], [round(seconds / BLOCK_SECONDS) for seconds, _ in parts])
    amplitudes = (10 ** (levels / 20)).astype(np.float32)
    blocks = [
        replace(block, samples=np.full(BLOCK_SAMPLES, amplitude, np.float32))
        for block, amplitude in zip(talk(0.0, len(levels) * BLOCK_SECONDS), amplitudes, strict=True)
    ]
    return [pause for block in blocks if (pause := segmenter.hear(block)) and pause.over]


QUIET, LOUDER, SOFTER, RADIO = -90.0, -20.0, -34.0, -36.0


def test_in_a_quiet_room_a_soft_phrase_after_a_loud_one_is_an_utterance() -> None:
    segmenter = Segmenter(LoudIsSpeech(above=0.001), longest_seconds=4.0)
    cut = _levelled(segmenter, (2.0, QUIET), (0.96, LOUDER), (1.5, QUIET), (0.96, SOFTER), (1.5, QUIET))
    assert [pause.utterance.speech_seconds for pause in cut] == pytest.approx([0.96, 0.96], abs=0.04)


def test_over_a_radio_what_is_as_soft_as_the_radio_is_none() -> None:
    segmenter = Segmenter(LoudIsSpeech(above=0.001), longest_seconds=4.0)
    cut = _levelled(segmenter, (0.96, LOUDER), (3.0, RADIO), (0.96, LOUDER), (6.0, RADIO))
    assert [pause.utterance.speech_seconds for pause in cut] == pytest.approx([0.96, 0.96], abs=0.04)


def test_a_soft_onset_belongs_to_the_loud_word_that_follows() -> None:
    segmenter = Segmenter(LoudIsSpeech(above=0.001), longest_seconds=4.0)
    (cut,) = _levelled(segmenter, (3.0, QUIET), (0.16, -40.0), (0.8, LOUDER), (1.5, QUIET))
    assert cut.utterance.speech_seconds == pytest.approx(0.96, abs=0.04)
    assert cut.utterance.silence_before > 2.9


def test_the_sound_begins_shortly_before_the_first_loud_block() -> None:
    segmenter = Segmenter(LoudIsSpeech(above=0.001), longest_seconds=4.0)
    (cut,) = _levelled(segmenter, (3.0, QUIET), (0.64, -40.0), (0.8, LOUDER), (1.5, QUIET))
    assert cut.utterance.start == pytest.approx(3.0 + 0.64 - 0.3, abs=0.04)


def test_turns_are_utterances_that_nothing_was_done_about() -> None:
    segmenter = Segmenter(LoudIsSpeech(), longest_seconds=4.0)
    turns: list[int] = []
    for block in talk(0.0, 1.28, *(0.64, 0.96) * 4):
        if (pause := segmenter.hear(block)) and pause.over:
            turns.append(pause.utterance.recent_turns)
            if len(turns) == 3:
                segmenter.take()
    assert turns == [0, 1, 2, 2]


def test_in_the_echo_of_the_benchs_own_voice_the_level_stays_the_talkers() -> None:
    segmenter, cut = Segmenter(LoudIsSpeech(above=0.001), longest_seconds=4.0), list[Pause]()
    for block in talk(0.0, 2.0, 0.96, 2.0, 0.96, 1.5):
        own = block.start_seconds > 3.5
        amplitude = np.float32(0.3 if own else 1.0)
        pause = segmenter.hear(replace(block, samples=block.samples * amplitude), echo=own)
        cut += [pause] if pause is not None and pause.over else []
    assert len(cut) == 1, "what is softer than the talker is its own voice"


def _babble(seconds: float, seed: int) -> list[tuple[float, float]]:
    levels = np.random.default_rng(seed).normal(-40.0, 2.0, round(seconds / BLOCK_SECONDS))
    return [(BLOCK_SECONDS, float(level)) for level in levels]


def test_in_babble_a_soft_phrase_after_a_loud_one_is_an_utterance() -> None:
    segmenter = Segmenter(LoudIsSpeech(above=0.001), longest_seconds=4.0)
    said = [(0.96, LOUDER), *_babble(12.0, 1), (0.96, SOFTER + 4.0), *_babble(1.5, 2)]
    cut = _levelled(segmenter, (3.0, QUIET), *said)
    assert [pause.utterance.speech_seconds for pause in cut] == pytest.approx([0.96, 0.96], abs=0.1)
    assert cut[1].utterance.start == pytest.approx(3.0 + 0.96 + 12.0 - 0.5, abs=0.1), "more of it lies before"


def test_babble_that_sets_in_is_background_once_it_is_too_long_for_a_command() -> None:
    segmenter = Segmenter(LoudIsSpeech(above=0.001), longest_seconds=4.0)
    cut = _levelled(segmenter, (3.0, QUIET), *_babble(12.0, 3), (0.96, SOFTER + 4.0), *_babble(1.5, 4))
    assert cut[-1].utterance.speech_seconds == pytest.approx(0.96, abs=0.1)
