"""The conversation file: both sides, in time, never clipped, without the hours in between."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import cast

import numpy as np
import pytest
import soundfile

from sparehand.demo.mix import MICROPHONE_SHARE, ConversationFile
from sparehand.ground.clock import start_of_run
from sparehand.ground.errors import FailureError
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, SoundBlock
from sparehand.voice.speaking.recording_speaker import RecordingSpeaker
from sparehand.voice.speaking.speech import Speech
from sparehand.voice.speaking.synthesis import Synthesiser

CLOCK = start_of_run(datetime(2024, 1, 1, tzinfo=UTC), "test")
STEP = 1.0 / 32_768


class LoudVoice:
    """Says everything as one second of full scale."""

    def synthesise(self, text: str) -> Speech:
        return Speech(text, np.ones(SAMPLE_RATE, np.float32), SAMPLE_RATE)


class Conversation:
    def __init__(self, path: Path) -> None:
        self.seconds = 0.0
        self.path = path
        self.speaker = RecordingSpeaker(cast(Synthesiser, LoudVoice()), lambda: self.seconds)
        self.file = ConversationFile(path, self.speaker)

    def hear(self, level: float, seconds: float = 0.1) -> None:
        samples = np.full(round(seconds * SAMPLE_RATE), level, np.float32)
        block = SoundBlock(samples, self.seconds, CLOCK.now())
        self.seconds = block.end_seconds
        self.file.add(block)

    def close(self) -> Samples:
        self.file.close()
        samples, rate = soundfile.read(self.path, dtype="float32")
        assert rate == SAMPLE_RATE
        return np.asarray(samples, np.float32)


@pytest.fixture
def conversation(tmp_path: Path) -> Conversation:
    return Conversation(tmp_path / "conversation.wav")


def test_an_answer_stands_where_it_was_said(conversation: Conversation) -> None:
    conversation.hear(0.0, 0.5)
    conversation.speaker.say("one")
    for _ in range(20):
        conversation.hear(0.0)

    sound = conversation.close()

    assert not sound[: SAMPLE_RATE // 2].any()
    assert sound[SAMPLE_RATE // 2 : 3 * SAMPLE_RATE // 2] == pytest.approx(1 - MICROPHONE_SHARE, abs=STEP)
    assert not sound[3 * SAMPLE_RATE // 2 :].any()
    assert len(sound) == 2.5 * SAMPLE_RATE


@pytest.mark.parametrize("level", [1.0, -1.0, 3.0])
def test_both_at_full_scale_do_not_clip(conversation: Conversation, level: float) -> None:
    conversation.speaker.say("one")
    conversation.speaker.say("two")
    conversation.hear(level, 2.0)

    sound = conversation.close()

    assert np.abs(sound).max() <= 1.0
    assert np.ptp(sound) < STEP


def test_the_last_answer_is_heard_to_its_end(conversation: Conversation) -> None:
    conversation.hear(0.5, 1.0)
    conversation.speaker.say("goodbye")

    assert len(conversation.close()) == 2 * SAMPLE_RATE


def test_an_answer_cut_short_is_cut_short_in_the_file(conversation: Conversation) -> None:
    conversation.hear(0.0)
    conversation.speaker.say("a long answer")
    conversation.hear(0.0, 0.3)
    conversation.speaker.stop()
    conversation.hear(0.0, 1.0)

    sound = conversation.close()

    assert sound[round(0.39 * SAMPLE_RATE)] > 0.4
    assert not sound[round(0.45 * SAMPLE_RATE) :].any()


def test_skipped_hours_take_no_room(conversation: Conversation) -> None:
    conversation.hear(0.1, 1.0)
    conversation.seconds += 3 * 3600
    conversation.hear(0.1, 1.0)
    conversation.speaker.say("one")
    conversation.hear(0.0, 1.0)

    sound = conversation.close()

    assert len(sound) == 3 * SAMPLE_RATE
    assert sound[-1] == pytest.approx(1 - MICROPHONE_SHARE, abs=STEP)


def test_a_file_that_cannot_be_written_is_one_clear_line(tmp_path: Path) -> None:
    with pytest.raises(FailureError, match="conversation cannot be written"):
        Conversation(tmp_path / "nowhere" / "conversation.wav")
