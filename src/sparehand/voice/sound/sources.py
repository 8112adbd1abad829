"""Where sound comes from: blocks of 16 kHz mono with their stream time. Here the interface and the sound file."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Protocol

import numpy as np
import soundfile

from sparehand.ground.clock import Clock, HandClock
from sparehand.ground.errors import InputError
from sparehand.voice.sound.blocks import BLOCK_SAMPLES, BlockCutter
from sparehand.voice.sound.resampling import Resampler
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, SoundBlock

_READ_SECONDS = 1
_HIGHEST_RATE = 768_000


class SoundSource(Protocol):
    """Something that gives sound until it ends. `overruns` counts what was lost on the way; it is to be shown."""

    overruns: int

    @property
    def clock(self) -> Clock:
        """The clock on which the sound runs."""

    def blocks(self) -> Iterator[SoundBlock]:
        """The sound, block by block of BLOCK_SAMPLES."""

    def close(self) -> None:
        """Let go of the file or the device."""


class FileSource:
    """A sound file of any rate and channel count, heard as if live: its clock moves with its sound.

    Read as it flows, so that an hour takes no more memory than a second.
    """

    overruns = 0

    def __init__(self, path: Path, clock: HandClock) -> None:
        """Raises InputError for a file that is missing, broken or empty."""
        if not path.is_file():
            raise InputError(f"{path}: there is no such sound file; check the name")
        try:
            self._file = soundfile.SoundFile(path)
        except (soundfile.SoundFileError, OSError) as error:
            raise InputError(f"{path}: this is no sound file that can be read ({error}); give a WAV file") from error
        self._path = path
        self._clock = clock
        if self._file.frames == 0 or not 0 < self._file.samplerate <= _HIGHEST_RATE:
            self._file.close()
            raise InputError(f"{path}: the sound file holds no sound; record it again")

    @property
    def clock(self) -> HandClock:
        """The file's own clock: at the end of the block given last."""
        return self._clock

    @property
    def seconds(self) -> float:
        """How long the file says it is."""
        return float(self._file.frames / self._file.samplerate)

    def blocks(self) -> Iterator[SoundBlock]:
        """The sound. Raises InputError where the file breaks off or holds what is no number."""
        for number, samples in enumerate(self._cut()):
            self._clock.advance(BLOCK_SAMPLES * 1000 // SAMPLE_RATE)
            yield SoundBlock(samples, number * BLOCK_SAMPLES / SAMPLE_RATE, self._clock.now())

    def close(self) -> None:
        """Close the file."""
        self._file.close()

    def _cut(self) -> Iterator[Samples]:
        cutter = BlockCutter()
        resampler = Resampler(self._file.samplerate, self._file.channels)
        while len(piece := self._read()):
            yield from cutter.feed(resampler.feed(piece))
        yield from cutter.feed(resampler.finish())
        yield from cutter.finish()

    def _read(self) -> Samples:
        at = self._file.tell()
        try:
            piece = self._file.read(self._file.samplerate * _READ_SECONDS, dtype="float32", always_2d=True)
        except (soundfile.SoundFileError, OSError) as error:
            raise InputError(f"{self._where(at)}: the sound breaks off ({error}); record it again") from error
        if not np.isfinite(piece).all():
            raise InputError(f"{self._where(at)}: the sound holds values that are no numbers; record it again")
        return np.asarray(np.clip(piece, -1.0, 1.0), np.float32)

    def _where(self, frame: int) -> str:
        return f"{self._path}, at {frame / self._file.samplerate:.0f} s"
