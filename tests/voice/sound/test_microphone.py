"""The microphone: loss of sound is counted and told, and an unplugged one is missed, waited for and taken up again."""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from itertools import islice
from types import SimpleNamespace

import numpy as np
import pytest

from sparehand.ground.clock import start_of_run
from sparehand.ground.errors import FailureError
from sparehand.voice.sound import microphone
from sparehand.voice.sound.blocks import BLOCK_SAMPLES
from sparehand.voice.sound.microphone import QUEUED_PIECES, MicrophoneSource
from sparehand.voice.sound.samples import SAMPLE_RATE

RATE = 48_000
PIECE = round(RATE * BLOCK_SAMPLES / SAMPLE_RATE)


class FakePortAudio:
    """One microphone of 48 kHz that a test speaks into, plugs in and out."""

    class PortAudioError(Exception):
        pass

    def __init__(self) -> None:
        self.plugged_in = True
        self.relisted = 0
        self.callback = None

    def query_devices(self, device: str | None, kind: str) -> dict[str, float]:
        if not self.plugged_in:
            raise self.PortAudioError(f"no {kind} device {device}")
        return {"default_samplerate": float(RATE)}

    def InputStream(self, **how: object) -> SimpleNamespace:  # noqa: N802, as the library names it
        self.callback = how["callback"]
        return SimpleNamespace(start=lambda: None, abort=lambda: None, close=lambda: None)

    def speak(self, level: float = 0.1, overflow: bool = False) -> None:
        piece = np.full((PIECE, 1), level, np.float32)
        self.callback(piece, PIECE, None, SimpleNamespace(input_overflow=overflow))

    def _initialize(self) -> None:
        self.relisted += 1

    def _terminate(self) -> None:
        """Nothing to end."""


@pytest.fixture
def sound(monkeypatch: pytest.MonkeyPatch):
    sound = FakePortAudio()
    monkeypatch.setitem(sys.modules, "sounddevice", sound)
    monkeypatch.setattr(microphone, "SILENT_SECONDS", 0.01)
    monkeypatch.setattr(microphone, "STARTING_SECONDS", 0.01)
    monkeypatch.setattr(microphone.time, "sleep", lambda _: None)
    return sound


@pytest.fixture
def notices():
    return []


@pytest.fixture
def source(sound, notices):  # noqa: ARG001, for the source opens what it fakes
    source = MicrophoneSource(None, start_of_run(datetime(2030, 1, 7, tzinfo=UTC), "test"), notices.append)
    yield source
    source.close()


def test_sound_of_the_device_comes_as_blocks_of_16_khz(sound, source) -> None:
    for _ in range(60):
        sound.speak()
    blocks = list(islice(source.blocks(), 40))
    assert all(block.samples.shape == (BLOCK_SAMPLES,) for block in blocks)
    assert [block.start_seconds for block in blocks] == [n * BLOCK_SAMPLES / SAMPLE_RATE for n in range(40)]
    assert np.allclose(blocks[-1].samples, 0.1, atol=1e-3)


def test_lost_sound_is_counted_and_told(sound, source, notices) -> None:
    sound.speak(overflow=True)
    for _ in range(QUEUED_PIECES + 4):
        sound.speak()
    blocks = source.blocks()
    for _ in range(QUEUED_PIECES - 10):
        next(blocks)
    while not notices:
        next(blocks)
    assert source.overruns == 6
    assert notices[0].startswith("6 pieces of sound were lost")


def test_a_microphone_that_goes_away_is_told_and_silence_stands_in_for_it(sound, source, notices) -> None:
    sound.plugged_in = False
    blocks = list(islice(source.blocks(), 100))
    assert notices == ["the microphone is gone, plug it in again"]
    assert not any(block.samples.any() for block in blocks)


def test_listening_goes_on_when_the_microphone_is_back(sound) -> None:
    notices = []

    def notice(text: str) -> None:
        notices.append(text)
        if text == "the microphone is back":
            for _ in range(60):
                sound.speak(0.2)

    source = MicrophoneSource(None, start_of_run(datetime(2030, 1, 7, tzinfo=UTC), "test"), notice)
    sound.plugged_in = False
    blocks = source.blocks()
    for _ in range(200):
        next(blocks)
    assert sound.relisted, "the devices are listed anew, for a new one is not in the old list"
    sound.plugged_in = True
    heard = [next(blocks) for _ in range(60)]
    assert notices == ["the microphone is gone, plug it in again", "the microphone is back"]
    assert np.allclose(heard[-1].samples, 0.2, atol=1e-3)
    source.close()


def test_not_a_number_is_silence(sound, source) -> None:
    sound.speak(float("nan"))
    for _ in range(20):
        sound.speak()
    assert all(np.isfinite(block.samples).all() for block in islice(source.blocks(), 10))


def test_no_microphone_at_all_is_one_clear_line(sound) -> None:
    sound.plugged_in = False
    with pytest.raises(FailureError, match=r"a microphone cannot be opened .* selfcheck"):
        MicrophoneSource(None, start_of_run(datetime(2030, 1, 7, tzinfo=UTC), "test"))
