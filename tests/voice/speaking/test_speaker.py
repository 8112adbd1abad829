"""The mouths: one for a device that may vanish, one for a recording, one that is silent."""

from __future__ import annotations

import sys
import threading
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from sparehand.ground.errors import FailureError
from sparehand.voice.sound.output import Fill
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples
from sparehand.voice.speaking.device_speaker import STALLED_SECONDS, DeviceSpeaker
from sparehand.voice.speaking.recording_speaker import RecordingSpeaker
from sparehand.voice.speaking.speaker import SilentSpeaker, Speaker
from sparehand.voice.speaking.speech import NoSpeech, Speech
from sparehand.voice.speaking.synthesis import Synthesiser
from sparehand.voice.speaking.tones import tone

BLOCK = 960
Recorded = tuple[RecordingSpeaker, "Stream"]


class FakeOutput:
    """A device whose samples are asked for by the test."""

    rate = 48_000
    latency_seconds = 0.0

    def __init__(self) -> None:
        self.active = False
        self.fill: Fill = np.zeros

    def start(self, fill: Fill) -> None:
        self.active, self.fill = True, fill

    def close(self) -> None:
        self.active = False

    def play(self, blocks: int) -> Samples:
        return np.concatenate([self.fill(BLOCK) for _ in range(blocks)])


class Bench:
    """A device speaker with a device that can be unplugged and a clock that can be moved."""

    def __init__(self, synthesiser: Synthesiser) -> None:
        self.outputs: list[FakeOutput] = []
        self.synthesiser = synthesiser
        self.make: type[FakeOutput] = FakeOutput
        self.plugged_in, self.seconds = True, 0.0
        self.speaker = DeviceSpeaker(synthesiser, "headset", 1.0, self.open, lambda: self.seconds)

    def open(self, device: str | None) -> FakeOutput:
        if not self.plugged_in:
            raise FailureError(f"no sound: the output '{device}' is not there")
        self.outputs.append(self.make())
        return self.outputs[-1]

    def say(self, text: str) -> None:
        self.speaker.say(text)
        self.speaker.wait_until_queued()


@pytest.fixture
def synthesiser(tmp_path: Path) -> Synthesiser:
    """Gives a tenth of a second of half of full scale for any text."""
    command = (sys.executable, str(Path(__file__).with_name("fake_worker.py")), "works", str(tmp_path / "starts"))
    return Synthesiser(timeout_seconds=30.0, worker_command=command)


@pytest.fixture
def bench(synthesiser: Synthesiser) -> Iterator[Bench]:
    bench = Bench(synthesiser)
    yield bench
    bench.speaker.close()


@dataclass
class SlowVoice:
    """Makes the second sentence only when the test lets it; `asked` is set when the first waits to be played."""

    asked: threading.Event = field(default_factory=threading.Event)
    go_on: threading.Event = field(default_factory=threading.Event)


@pytest.fixture
def slow(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> SlowVoice:
    slow, synthesise = SlowVoice(), bench.synthesiser.synthesise

    def wait(text: str) -> Speech | NoSpeech:
        if text == "Then this.":
            slow.asked.set()
            assert slow.go_on.wait(30)
        return synthesise(text)

    monkeypatch.setattr(bench.synthesiser, "synthesise", wait)
    bench.speaker.say("First this. Then this.")
    assert slow.asked.wait(30)
    return slow


def test_a_sentence_sounds_while_the_next_is_made(bench: Bench, slow: SlowVoice) -> None:
    assert bench.outputs[-1].play(2).any()
    assert bench.speaker.speaking
    slow.go_on.set()
    bench.speaker.wait_until_queued()
    assert np.count_nonzero(bench.outputs[-1].play(20)) > 4_000


def test_what_is_still_to_be_made_is_forgotten_at_a_stop(bench: Bench, slow: SlowVoice) -> None:
    bench.speaker.stop()
    slow.go_on.set()
    bench.speaker.wait_until_queued()
    bench.outputs[-1].play(1)
    assert not bench.outputs[-1].play(20).any()
    assert not bench.speaker.speaking


def test_texts_and_tones_come_out_of_the_device_one_after_another(bench: Bench) -> None:
    bench.speaker.signal("heard")
    bench.say("one")
    played = bench.outputs[0].play(20)

    length = len(tone("heard", 48_000))
    assert np.array_equal(played[:length], tone("heard", 48_000))
    assert np.median(np.abs(played[length : length + 4800])) == pytest.approx(0.5, abs=0.01)
    assert not bench.speaker.speaking
    assert bench.speaker.status == ""


def test_a_stop_silences_what_sounds_and_what_waits(bench: Bench) -> None:
    bench.speaker.say("one")
    bench.say("two")
    bench.outputs[0].play(1)
    assert bench.speaker.speaking

    bench.speaker.stop()
    after = bench.outputs[0].play(20)

    assert np.flatnonzero(after)[-1] < BLOCK
    assert not bench.speaker.speaking
    bench.say("three")
    assert bench.outputs[0].play(5).any()


def test_without_a_device_it_is_silent_and_says_why(bench: Bench) -> None:
    bench.plugged_in = False
    bench.say("one")

    assert "'headset' is not there" in bench.speaker.status
    assert not bench.speaker.speaking


def test_a_device_that_is_unplugged_is_told_at_once_and_taken_again_when_it_is_back(bench: Bench) -> None:
    bench.say("one")
    bench.outputs[0].active = False

    assert "gone" in bench.speaker.status
    assert not bench.speaker.speaking

    bench.say("two")
    assert bench.speaker.status == ""
    assert bench.outputs[1].play(5).any()


def test_a_device_that_asks_for_nothing_any_more_does_not_keep_it_speaking_for_ever(bench: Bench) -> None:
    bench.say("one")
    bench.outputs[0].play(1)
    assert bench.speaker.speaking

    bench.seconds = STALLED_SECONDS + 0.1

    assert not bench.speaker.speaking
    assert "gone" in bench.speaker.status


class BrokenOutput(FakeOutput):
    """A device whose driver fails as no driver should."""

    def start(self, _fill: Fill) -> None:
        raise ZeroDivisionError("a driver's mistake")


def test_what_fails_in_the_speaking_thread_is_told_and_the_next_text_is_spoken(bench: Bench) -> None:
    good, bench.make = bench.make, BrokenOutput
    bench.say("one")
    assert "a driver's mistake" in bench.speaker.status

    bench.make = good
    bench.say("two")
    assert bench.outputs[-1].play(5).any()
    assert bench.speaker.status == ""


def test_answers_are_made_ready_while_nothing_is_to_be_said(bench: Bench, tmp_path: Path) -> None:
    bench.speaker.prepare(["what size", "where am i"])
    bench.speaker.wait_until_queued()
    bench.synthesiser.close()
    (tmp_path / "starts").write_text("x" * 100)
    bench.say("what size")
    assert bench.outputs[0].play(5).any()
    assert len((tmp_path / "starts").read_text()) == 100, "no worker was needed"


def test_without_a_voice_tones_still_sound_and_the_reason_is_told() -> None:
    bench = Bench(Synthesiser(worker_command=("/no/such/program",)))
    bench.say("one")
    assert "no voice" in bench.speaker.status

    bench.speaker.signal("refused")
    bench.speaker.wait_until_queued()
    assert bench.outputs[0].play(5).any()
    bench.speaker.close()


class Stream:
    """Stream time, moved by hand."""

    seconds = 0.0


@pytest.fixture
def recorded(synthesiser: Synthesiser) -> Iterator[Recorded]:
    stream = Stream()
    speaker = RecordingSpeaker(synthesiser, lambda: stream.seconds)
    yield speaker, stream
    speaker.close()


def test_recorded_answers_lie_on_stream_time_one_after_another(recorded: Recorded) -> None:
    speaker, stream = recorded
    stream.seconds = 2.0
    speaker.say("one")
    speaker.say("two")

    first, second = speaker.answers
    assert (first.text, first.start_seconds) == ("one", 2.0)
    assert second.start_seconds == first.end_seconds
    assert speaker.ends_at == second.end_seconds
    assert speaker.speaking
    stream.seconds = speaker.ends_at
    assert not speaker.speaking


@pytest.mark.parametrize("block_seconds", [0.01, 0.1, 0.37])
def test_recorded_sound_is_whole_however_it_is_cut(recorded: Recorded, block_seconds: float) -> None:
    speaker, stream = recorded
    stream.seconds = 0.25
    speaker.say("one")
    expected = speaker.answers[0].samples

    edges = np.arange(0, 1.5, block_seconds)
    sound = np.concatenate([speaker.sound_between(*pair) for pair in pairwise(edges)])

    assert np.array_equal(sound[SAMPLE_RATE // 4 :][: len(expected)], expected)
    assert not sound[: SAMPLE_RATE // 4].any()
    assert speaker.answers == ()


def test_a_recorded_answer_that_is_stopped_ends_within_50_ms_and_what_waits_is_dropped(recorded: Recorded) -> None:
    speaker, stream = recorded
    speaker.say("one")
    speaker.say("two")
    stream.seconds = 0.03

    speaker.stop()

    assert len(speaker.answers) == 1
    assert 0.03 <= speaker.ends_at <= 0.08


def test_the_silent_speaker_is_a_speaker_that_says_why() -> None:
    speaker: Speaker = SilentSpeaker("muted")
    speaker.say("one")
    speaker.signal("heard")
    speaker.stop()

    assert speaker.status == "muted"
    assert not speaker.speaking
