"""The loudspeaker or headset of this machine."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol

from sparehand.ground.errors import FailureError
from sparehand.voice.sound.samples import Samples
from sparehand.voice.sound.sound_library import LIBRARY, SoundLibrary, SoundStream, StreamForm

BLOCK_SECONDS = 0.02
"""Length of the blocks a device asks for: with the fade, half of the 50 ms in which speech must stop."""

LATENCY_SECONDS = 0.12
"""What the device keeps in its own buffer: a busy machine misses less than that, and speech is not torn."""

Fill = Callable[[int], Samples]
"""Gives the next so many samples at the device's rate."""


class Output(Protocol):
    """An open device that asks for its samples by itself."""

    rate: int
    latency_seconds: float

    @property
    def active(self) -> bool:
        """Whether it still plays; a device that was unplugged does not."""
        ...

    def start(self, fill: Fill) -> None:
        """Begin to ask `fill` for samples."""
        ...

    def close(self) -> None:
        """Let the device go."""
        ...


class DeviceOutput:
    """A device through PortAudio, at the device's own rate."""

    def __init__(self, device: str | None, library: SoundLibrary = LIBRARY) -> None:
        """`device` is a name or a part of one, None the system's default. Raises FailureError where there is none."""
        self._library = library
        self._device = device
        self._stream: SoundStream | None = None
        try:
            self.rate = int(self._rate())
        except FailureError as error:
            raise FailureError(f"{error}; see `sparehand selfcheck`") from error
        self.latency_seconds = LATENCY_SECONDS

    @property
    def active(self) -> bool:
        """Whether the stream runs."""
        return self._stream is not None and self._stream.active

    def start(self, fill: Fill) -> None:
        """Open the stream. Raises FailureError where the device refuses."""

        def callback(out: Any, frames: int, _at: object, _status: object) -> None:
            out[:, 0] = fill(frames)

        form = StreamForm("output", self._device, self.rate, BLOCK_SECONDS, LATENCY_SECONDS, callback)
        try:
            self._stream = self._library.open(form)
        except FailureError as error:
            self._library.list_anew()
            raise FailureError(f"{error}; see `sparehand selfcheck`") from error

    def close(self) -> None:
        """Close the stream without waiting for what it still holds."""
        if self._stream is not None:
            self._stream.close()
            self._stream = None

    def _rate(self) -> float:
        try:
            return self._library.rate("output", self._device)
        except FailureError:
            self._library.list_anew()
            return self._library.rate("output", self._device)
