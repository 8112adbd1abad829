"""The microphone: loss of sound is counted and told, and an unplugged one is missed, waited for and taken up again.

PortAudio is a double here; tests/voice/sound/test_real_devices.py does the same with the real one.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import islice
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest

from sparehand.ground.clock import start_of_run
from sparehand.ground.errors import FailureError
from sparehand.voice.sound import microphone
from sparehand.voice.sound.blocks import BLOCK_SAMPLES
from sparehand.voice.sound.microphone import QUEUED_PIECES, MicrophoneSource
from sparehand.voice.sound.output import DeviceOutput
from sparehand.voice.sound.samples import SAMPLE_RATE
from sparehand.voice.sound.sound_library import SoundLibrary

RATE = 48_000
PIECE = round(RATE * BLOCK_SAMPLES / SAMPLE_RATE)


class FakeStream:
    """A stream that counts what is done to it; a `deaf` one was never closed and must not be used any more."""

    def __init__(self, owner: FakePortAudio, how: dict[str, Any]) -> None:
        self.owner, self.callback, self.ended = owner, how["callback"], how["finished_callback"]
        self.open = True

    def start(self) -> None:
        self.owner.streams.append(self)

    def abort(self, **_how: bool) -> None:
        assert self.open
        self.ended()

    def close(self, **_how: bool) -> None:
        self.open = False
        self.owner.streams.remove(self)


class FakePortAudio:
    """One microphone and one loudspeaker of 48 kHz that a test plugs in and out. A new list is made at the start."""

    class PortAudioError(Exception):
        pass

    def __init__(self) -> None:
        self.plugged_in = self.listed = True
        self.listings = 0
        self.streams: list[FakeStream] = []

    def query_devices(self, device: str | None, kind: str) -> dict[str, float]:
        if not self.listed or not self.plugged_in:
            raise self.PortAudioError(f"no {kind} device {device}")
        return {"default_samplerate": float(RATE)}

    def InputStream(self, **how: Any) -> FakeStream:  # noqa: N802, as the library names it
        return FakeStream(self, how)

    OutputStream = InputStream

    def speak(self, level: float = 0.1, overflow: bool = False) -> None:
        piece = np.full((PIECE, 1), level, np.float32)
        self.streams[-1].callback(piece, PIECE, None, SimpleNamespace(input_overflow=overflow))

    def unplug(self) -> None:
        """The device is gone, and stays off the list until the list is made anew."""
        self.plugged_in = self.listed = False

    def _initialize(self) -> None:
        self.listings += 1
        self.listed = self.plugged_in

    def _terminate(self) -> None:
        assert not self.streams, "what is open when PortAudio ends is an invalid pointer afterwards"


@pytest.fixture
def sound(monkeypatch: pytest.MonkeyPatch) -> FakePortAudio:
    sound = FakePortAudio()
    monkeypatch.setitem(sys.modules, "sounddevice", sound)
    for name in ("SILENT_SECONDS", "STARTING_SECONDS", "FIRST_TRY_SECONDS", "LONGEST_TRY_SECONDS"):
        monkeypatch.setattr(microphone, name, 0.002)
    return sound


@pytest.fixture
def library(sound: FakePortAudio) -> SoundLibrary:  # noqa: ARG001, for it is the owner of what is faked
    """The owner of the double, for which hours pass between two listings."""
    hours = iter(range(0, 10**9, 3600))
    return SoundLibrary(lambda: float(next(hours)))


@pytest.fixture
def notices() -> list[str]:
    return []


@pytest.fixture
def source(library: SoundLibrary, notices: list[str]) -> Iterator[MicrophoneSource]:
    clock = start_of_run(datetime(2030, 1, 7, tzinfo=UTC), "test")
    source = MicrophoneSource(None, clock, notices.append, library)
    yield source
    source.close()


def test_sound_of_the_device_comes_as_blocks_of_16_khz(sound: FakePortAudio, source: MicrophoneSource) -> None:
    for _ in range(60):
        sound.speak()
    blocks = list(islice(source.blocks(), 40))
    assert all(block.samples.shape == (BLOCK_SAMPLES,) for block in blocks)
    assert [block.start_seconds for block in blocks] == [n * BLOCK_SAMPLES / SAMPLE_RATE for n in range(40)]
    assert np.allclose(blocks[-1].samples, 0.1, atol=1e-3)


def test_lost_sound_is_counted_and_told(sound: FakePortAudio, source: MicrophoneSource, notices: list[str]) -> None:
    sound.speak(overflow=True)
    for _ in range(QUEUED_PIECES + 4):
        sound.speak()
    blocks = source.blocks()
    while not notices:
        next(blocks)
    assert source.overruns == 6
    assert notices[0].startswith("6 pieces of sound lost")


def test_a_microphone_that_goes_away_is_told_and_silence_stands_in_for_it(
    sound: FakePortAudio, source: MicrophoneSource, notices: list[str]
) -> None:
    sound.unplug()
    blocks = list(islice(source.blocks(), 30))
    assert notices == ["the microphone is gone, plug it in again"]
    assert not any(block.samples.any() for block in blocks)


def test_listening_goes_on_when_the_microphone_is_back_and_the_loudspeaker_was_open_all_the_time(
    sound: FakePortAudio, source: MicrophoneSource, library: SoundLibrary, notices: list[str]
) -> None:
    output = DeviceOutput(None, library)
    output.start(lambda count: np.zeros(count, np.float32))
    sound.unplug()
    blocks = source.blocks()
    while sound.listings < 5:
        next(blocks)
    sound.plugged_in = True
    while "the microphone is back" not in notices:
        for stream in list(sound.streams):
            stream.callback(np.full((PIECE, 1), 0.2, np.float32), PIECE, None, SimpleNamespace(input_overflow=False))
        next(blocks)
    assert notices[:2] == ["the microphone is gone, plug it in again", "the microphone is back"]
    # Patience is that short here that the devices are listed once more now and then, with everything closed meanwhile.
    assert any(output.active for _ in zip(range(1_000), blocks, strict=False))
    output.close()
    assert not output.active


def test_a_loudspeaker_that_was_plugged_in_later_is_found(sound: FakePortAudio, library: SoundLibrary) -> None:
    sound.unplug()
    with pytest.raises(FailureError, match="the system's sound output is not there"):
        DeviceOutput(None, library)
    sound.plugged_in = True
    assert DeviceOutput(None, library).rate == RATE


def test_not_a_number_is_silence(sound: FakePortAudio, source: MicrophoneSource) -> None:
    sound.speak(float("nan"))
    for _ in range(20):
        sound.speak()
    assert all(np.isfinite(block.samples).all() for block in islice(source.blocks(), 10))


def test_no_microphone_at_all_is_one_clear_line(sound: FakePortAudio, library: SoundLibrary) -> None:
    sound.unplug()
    with pytest.raises(FailureError, match=r"microphone is not there .* selfcheck"):
        MicrophoneSource(None, start_of_run(datetime(2030, 1, 7, tzinfo=UTC), "test"), library=library)


def test_a_stream_that_cannot_be_closed_holds_nobody_up_and_is_told(
    sound: FakePortAudio, library: SoundLibrary, monkeypatch: pytest.MonkeyPatch
) -> None:
    import threading

    from sparehand.voice.sound import sound_library

    for_ever = threading.Event()
    monkeypatch.setattr(sound_library, "CLOSE_SECONDS", 0.01)
    monkeypatch.setattr(FakeStream, "abort", lambda *_, **__: for_ever.wait())
    output = DeviceOutput(None, library)
    output.start(lambda count: np.zeros(count, np.float32))
    output.close()
    with pytest.raises(FailureError, match="does not answer; leave the job"):
        library.list_anew()
    assert sound.listings == 0
    for_ever.set()
