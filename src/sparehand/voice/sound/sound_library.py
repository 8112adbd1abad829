"""The one owner of PortAudio: it opens and closes both directions, one call at a time."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from typing import Any, Literal

from sparehand.ground.errors import FailureError
from sparehand.ground.supervision import growing_waits

Direction = Literal["input", "output"]
Callback = Callable[[Any, int, Any, Any], None]
"""PortAudio's: samples of shape (frames, 1), their number, times, and a status."""

TURN_SECONDS = 5.0
"""How long to wait for a call of another thread, which a sound server that hangs may never end."""
CLOSE_SECONDS = 2.0
"""PortAudio waits for its own thread at a close; where the sound server was killed, that thread may never end."""
FIRST_LISTING_SECONDS = 5.0
LONGEST_LISTING_SECONDS = 300.0
_NO_ANSWER = "the sound library does not answer; leave the job with Ctrl-C and go on with `sparehand resume`"


@dataclass(frozen=True)
class StreamForm:
    """What a stream is to be. Blocks and latency in seconds, the rate in samples a second."""

    direction: Direction
    device: str | None
    rate: float
    block_seconds: float
    latency_seconds: float
    callback: Callback


class SoundStream:
    """One direction, open until `close`. Only the library makes it."""

    def __init__(self, library: SoundLibrary, form: StreamForm) -> None:
        self._library = library
        self._form = form
        self._stream: Any = None
        self._ended = threading.Event()

    @property
    def active(self) -> bool:
        """Whether it still runs, as its own thread says; the library is not asked for that."""
        return self._stream is not None and not self._ended.is_set()

    def close(self) -> None:
        """Let the device go, without waiting for what it still holds."""
        self._library.close(self)

    def start(self) -> None:
        """Open it, or open it again. For the library alone. Raises FailureError where the device refuses."""
        sounddevice, form = portaudio(), self._form
        self._ended.clear()
        make = sounddevice.InputStream if form.direction == "input" else sounddevice.OutputStream
        try:
            self._stream = make(
                samplerate=form.rate,
                channels=1,
                device=form.device,
                dtype="float32",
                blocksize=round(form.rate * form.block_seconds),
                latency=form.latency_seconds,
                callback=form.callback,
                finished_callback=self._ended.set,
            )
            self._stream.start()
        except (sounddevice.PortAudioError, ValueError) as error:
            self.stop()
            raise FailureError(f"{which(form.direction, form.device)} cannot be opened ({error})") from error

    def stop(self) -> bool:
        """Close it. For the library alone. Gives whether it could be closed in time."""
        stream, self._stream = self._stream, None
        if stream is None:
            return True
        closing = threading.Thread(target=_close, args=(stream,), daemon=True)
        closing.start()
        closing.join(CLOSE_SECONDS)
        return not closing.is_alive()


class SoundLibrary:
    """Every call to PortAudio from whatever thread. Each method raises FailureError where PortAudio cannot do it."""

    def __init__(self, steady_seconds: Callable[[], float] = time.monotonic) -> None:
        self._calls = threading.RLock()
        self._steady_seconds = steady_seconds
        self._open: list[SoundStream] = []
        self._hangs = False
        self._listing_waits = self._fresh_waits()
        self._next_listing = steady_seconds() + next(self._listing_waits)

    def rate(self, direction: Direction, device: str | None) -> float:
        """The own rate of a device, named by a part of its name; None is the system's choice."""
        sounddevice = portaudio()
        with self._turn():
            try:
                return float(sounddevice.query_devices(device, direction)["default_samplerate"])
            except (sounddevice.PortAudioError, ValueError) as error:
                raise FailureError(f"{which(direction, device)} is not there ({error})") from error

    def open(self, form: StreamForm) -> SoundStream:
        """A running stream."""
        with self._turn():
            stream = SoundStream(self, form)
            stream.start()
            self._open.append(stream)
            self._listing_waits = self._fresh_waits()
            return stream

    def close(self, stream: SoundStream) -> None:
        """End a stream. One that cannot be closed is left behind."""
        with suppress(FailureError), self._turn():
            self._hangs |= not stream.stop()
            if stream in self._open:
                self._open.remove(stream)

    def list_anew(self) -> None:
        """Look for devices that were plugged in meanwhile, which PortAudio does only when it starts.

        What is open is closed for that and opened again. Too soon after the last time nothing is done.
        """
        with self._turn():
            if self._steady_seconds() < self._next_listing:
                return
            for stream in self._open:
                self._hangs |= not stream.stop()
            if self._hangs:
                raise FailureError(_NO_ANSWER)
            sounddevice = portaudio()
            sounddevice._terminate()
            sounddevice._initialize()
            self._next_listing = self._steady_seconds() + next(self._listing_waits)
            for stream in self._open:
                with suppress(FailureError):
                    stream.start()

    @contextmanager
    def _turn(self) -> Iterator[None]:
        if not self._calls.acquire(timeout=TURN_SECONDS):
            raise FailureError(_NO_ANSWER)
        try:
            yield
        finally:
            self._calls.release()

    @staticmethod
    def _fresh_waits() -> Iterator[float]:
        return growing_waits(FIRST_LISTING_SECONDS, LONGEST_LISTING_SECONDS)


LIBRARY = SoundLibrary()
"""That of this process."""


def portaudio() -> Any:
    """PortAudio's binding. Raises FailureError, with the way to get it, where the system lacks PortAudio."""
    try:
        import sounddevice
    except (OSError, ImportError) as error:
        raise FailureError(
            "sound needs the system library PortAudio, which is missing; on Debian: apt install libportaudio2"
        ) from error
    return sounddevice


def portaudio_is_there() -> bool:
    """Whether the system has PortAudio."""
    with suppress(FailureError):
        portaudio()
        return True
    return False


def which(direction: Direction, device: str | None) -> str:
    """A device in words."""
    kind = "microphone" if direction == "input" else "sound output"
    return f"the {kind} '{device}'" if device else f"the system's {kind}"


def _close(stream: Any) -> None:
    stream.abort(ignore_errors=True)
    stream.close(ignore_errors=True)
