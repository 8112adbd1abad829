"""The microphone: raw blocks through a bounded queue, so that nothing slow ever runs in the audio callback."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from itertools import count
from queue import Empty, Full, Queue
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sparehand.ground.clock import Clock
from sparehand.ground.errors import FailureError
from sparehand.voice.sound.blocks import BLOCK_SAMPLES, BlockCutter
from sparehand.voice.sound.resampling import Resampler
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, SoundBlock

QUEUED_PIECES = 256
"""Pieces of about 32 ms that may wait: eight seconds, which no recogniser should take."""
LATENCY_SECONDS = 0.1
"""What a sound server may keep back; left to itself it hands out seconds at once."""
STARTING_SECONDS = 4.0
"""Sound servers and wireless headsets take a second or two until the first piece comes."""
SILENT_SECONDS = 0.8
"""After so long without any piece the microphone counts as unplugged."""
_BLOCKS_A_TRY = 31
"""How much silence passes between two tries to open the microphone again, about a second."""
_TRIES_BEFORE_RELISTING = 3

Notice = Callable[[str], None]


class MicrophoneSource:
    """The system's microphone, or the one named. Goes on by itself when an unplugged one returns.

    `overruns` counts pieces that were lost; `notice` is told in words when the microphone is lost and when it is back.
    """

    def __init__(self, device: str | None, clock: Clock, notice: Notice = lambda _: None) -> None:
        """Raises FailureError where there is no microphone to open, saying how to get one."""
        self.overruns = 0
        self._device = device
        self._clock = clock
        self._notice = notice
        self._closed = False
        self._pieces: Queue[NDArray[np.float32]] = Queue(QUEUED_PIECES)
        self._stream = self._open()

    @property
    def clock(self) -> Clock:
        """The clock of this machine."""
        return self._clock

    def blocks(self) -> Iterator[SoundBlock]:
        """The sound until `close`, silence while the microphone is away."""
        for number, samples in enumerate(self._samples()):
            yield SoundBlock(samples, number * BLOCK_SAMPLES / SAMPLE_RATE, self._clock.now())

    def close(self) -> None:
        """Let go of the device; `blocks` ends."""
        self._closed = True
        self._drop()

    def _open(self) -> Any:
        sounddevice = portaudio()
        try:
            info = sounddevice.query_devices(self._device, "input")
            rate, channels = float(info["default_samplerate"]), 1
            stream = sounddevice.InputStream(
                samplerate=rate,
                channels=channels,
                device=self._device,
                dtype="float32",
                blocksize=round(rate * BLOCK_SAMPLES / SAMPLE_RATE),
                latency=LATENCY_SECONDS,
                callback=self._arrived,
            )
            self._resampler = Resampler(rate, channels)
            stream.start()
        except (sounddevice.PortAudioError, ValueError) as error:
            which = f"the microphone '{self._device}'" if self._device else "a microphone"
            raise FailureError(f"{which} cannot be opened ({error}); see `sparehand selfcheck`") from error
        return stream

    def _arrived(self, piece: NDArray[np.float32], _frames: int, _times: object, status: Any) -> None:
        self.overruns += bool(status.input_overflow)
        try:
            self._pieces.put_nowait(np.nan_to_num(piece))
        except Full:
            self.overruns += 1

    def _drop(self) -> None:
        sounddevice = portaudio()
        try:
            self._stream.abort()
            self._stream.close()
        except sounddevice.PortAudioError:
            return  # a device that is gone cannot be closed either

    def _samples(self) -> Iterator[Samples]:
        cutter = BlockCutter()
        told = 0
        patience = STARTING_SECONDS
        while not self._closed:
            try:
                piece = self._pieces.get(timeout=patience)
            except Empty:
                yield from self._away()
                patience = STARTING_SECONDS
                continue
            patience = SILENT_SECONDS
            yield from cutter.feed(self._resampler.feed(piece))
            if self.overruns > told and self._pieces.empty():
                self._notice(
                    f"{self.overruns - told} pieces of sound were lost, this machine was too busy to hear them"
                )
                told = self.overruns

    def _away(self) -> Iterator[Samples]:
        """Silence at the pace of time until the microphone is back, so that the bench goes on by screen and keys."""
        self._notice("the microphone is gone, plug it in again")
        self._drop()
        for tries in count():
            for _ in range(_BLOCKS_A_TRY):
                time.sleep(BLOCK_SAMPLES / SAMPLE_RATE)
                yield np.zeros(BLOCK_SAMPLES, np.float32)
            if self._closed:
                return
            if tries >= _TRIES_BEFORE_RELISTING:
                _list_devices_anew()
            try:
                self._stream = self._open()
            except FailureError:
                continue
            self._notice("the microphone is back")
            return


def _list_devices_anew() -> None:
    """PortAudio lists its devices once, when it starts; starting it again silences what sounds, so not at once."""
    sounddevice = portaudio()
    sounddevice._terminate()
    sounddevice._initialize()


def portaudio() -> Any:
    """The sound library. Raises FailureError, with the way to get it, where the system lacks PortAudio."""
    try:
        import sounddevice
    except (OSError, ImportError) as error:
        raise FailureError(
            "sound needs the system library PortAudio, which is missing; on Debian: apt install libportaudio2"
        ) from error
    return sounddevice
