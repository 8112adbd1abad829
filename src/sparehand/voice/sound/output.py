"""The loudspeaker or headset of this machine."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol

from sparehand.ground.errors import FailureError
from sparehand.voice.sound.samples import Samples

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

    def __init__(self, device: str | None) -> None:
        """`device` is a name or a part of one, None the system's default. Raises FailureError where there is none."""
        try:
            import sounddevice
        except OSError as error:
            raise FailureError("no sound: PortAudio is missing; `sparehand selfcheck` says how to get it") from error
        self._sounddevice: Any = sounddevice
        self._stream: Any = None
        self._device = device
        try:
            info = sounddevice.query_devices(device, "output")
        except (sounddevice.PortAudioError, ValueError) as error:
            raise FailureError(
                f"no sound: {_which(device)} is not there ({error}); see `sparehand selfcheck`"
            ) from error
        self.rate = int(info["default_samplerate"])
        self.latency_seconds = LATENCY_SECONDS

    @property
    def active(self) -> bool:
        """Whether the stream runs."""
        return self._stream is not None and bool(self._stream.active)

    def start(self, fill: Fill) -> None:
        """Open the stream. Raises FailureError where the device refuses."""

        def callback(out: Any, frames: int, time: object, status: object) -> None:  # noqa: ARG001 - PortAudio's form
            out[:, 0] = fill(frames)

        try:
            self._stream = self._sounddevice.OutputStream(
                samplerate=self.rate,
                blocksize=round(BLOCK_SECONDS * self.rate),
                device=self._device,
                channels=1,
                dtype="float32",
                latency=LATENCY_SECONDS,
                callback=callback,
            )
            self._stream.start()
        except (self._sounddevice.PortAudioError, ValueError) as error:
            raise FailureError(f"no sound: {_which(self._device)} cannot be played on ({error})") from error

    def close(self) -> None:
        """Close the stream without waiting for what it still holds."""
        if self._stream is not None:
            self._stream.abort(ignore_errors=True)
            self._stream.close(ignore_errors=True)
            self._stream = None


def _which(device: str | None) -> str:
    return f"the output '{device}'" if device else "the default output"
