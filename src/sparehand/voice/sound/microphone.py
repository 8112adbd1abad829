"""The microphone: raw blocks through a bounded queue, so that nothing slow ever runs in the audio callback."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator
from functools import partial
from queue import Empty, Full, Queue
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sparehand.ground.clock import Clock
from sparehand.ground.errors import FailureError
from sparehand.ground.plurals import how_many
from sparehand.ground.supervision import growing_waits, supervised
from sparehand.voice.sound.blocks import BLOCK_SAMPLES, BlockCutter
from sparehand.voice.sound.resampling import Resampler
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, SoundBlock
from sparehand.voice.sound.sound_library import LIBRARY, SoundLibrary, SoundStream, StreamForm

QUEUED_PIECES = 256
"""Pieces of about 32 ms that may wait: eight seconds, which no recogniser should take."""
BLOCK_SECONDS = BLOCK_SAMPLES / SAMPLE_RATE
LATENCY_SECONDS = 0.1
"""What a sound server may keep back; left to itself it hands out seconds at once."""
STARTING_SECONDS = 4.0
"""Sound servers and wireless headsets take a second or two until the first piece comes."""
SILENT_SECONDS = 0.8
"""After so long without any piece the microphone counts as unplugged."""
FIRST_TRY_SECONDS, LONGEST_TRY_SECONDS = 1.0, 8.0
_TRIES_BEFORE_LISTING = 2

Notice = Callable[[str], None]
_Piece = tuple[Resampler, NDArray[np.float32]]


class MicrophoneSource:
    """The system's microphone, or the one named. Goes on by itself when an unplugged one returns.

    `overruns` counts pieces that were lost; `notice` is told in words when the microphone is lost and when it is back,
    from any thread.
    """

    def __init__(
        self,
        device: str | None,
        clock: Clock,
        notice: Notice = lambda _: None,
        library: SoundLibrary = LIBRARY,
    ) -> None:
        """Raises FailureError where there is no microphone to open, saying how to get one."""
        self.overruns = 0
        self._device = device
        self._clock = clock
        self._notice = notice
        self._library = library
        self._closed = threading.Event()
        self._sounds = threading.Event()
        self._pieces: Queue[_Piece] = Queue(QUEUED_PIECES)
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
        self._closed.set()
        self._stream.close()

    def _open(self) -> SoundStream:
        try:
            rate = self._library.rate("input", self._device)
            arrived = partial(self._arrived, Resampler(rate, 1))
            return self._library.open(StreamForm("input", self._device, rate, BLOCK_SECONDS, LATENCY_SECONDS, arrived))
        except FailureError as error:
            raise FailureError(f"{error}; see `sparehand selfcheck`") from error

    def _arrived(
        self, resampler: Resampler, piece: NDArray[np.float32], _frames: int, _at: object, status: Any
    ) -> None:
        self._sounds.set()
        self.overruns += bool(status.input_overflow)
        try:
            self._pieces.put_nowait((resampler, np.nan_to_num(piece)))
        except Full:
            self.overruns += 1

    def _samples(self) -> Iterator[Samples]:
        """What arrives, and silence at the pace of time while nothing does, so that the bench goes on."""
        cutter = BlockCutter()
        told, away, patience = 0, False, STARTING_SECONDS
        while not self._closed.is_set():
            try:
                resampler, piece = self._pieces.get(timeout=patience)
            except Empty:
                if not away:
                    away, patience = True, BLOCK_SECONDS
                    self._notice("the microphone is gone, plug it in again")
                    supervised("the search for the microphone", self._search, self._notice, self._closed.wait)
                yield np.zeros(BLOCK_SAMPLES, np.float32)
                continue
            if away:
                self._notice("the microphone is back")
            away, patience = False, SILENT_SECONDS
            yield from cutter.feed(resampler.feed(piece))
            if self.overruns > told and self._pieces.empty():
                lost, told = self.overruns - told, self.overruns
                self._notice(f"{how_many(lost, 'piece')} of sound lost, this machine was too busy to hear them")

    def _search(self) -> None:
        """Open the microphone until it sounds."""
        for tries, seconds in enumerate(growing_waits(FIRST_TRY_SECONDS, LONGEST_TRY_SECONDS)):
            if self._closed.wait(seconds):
                return
            self._stream.close()
            self._sounds.clear()
            try:
                if tries >= _TRIES_BEFORE_LISTING:
                    self._library.list_anew()
                self._stream = self._open()
            except FailureError:
                continue
            if self._closed.is_set():
                self._stream.close()
            if self._sounds.wait(STARTING_SECONDS):
                return
