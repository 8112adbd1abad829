"""What comes to the bench, in one stream: blocks of sound, typed lines, and the mere passing of time."""

from __future__ import annotations

import queue
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol, TextIO

from sparehand.clock import Clock, Moment
from sparehand.voice.sound import SoundBlock
from sparehand.voice.sources import SoundSource

_PATIENCE_SECONDS = 0.25
"""How long a keyboard without a microphone is waited for before time is let pass."""


@dataclass(frozen=True)
class TypedLine:
    """A line typed at the bench: one phrase."""

    text: str
    moment: Moment


@dataclass(frozen=True)
class Pause:
    """Nothing came; time passed."""

    moment: Moment


Incoming = SoundBlock | TypedLine | Pause


class Keyboard:
    """Lines typed at the bench, read beside everything else. The end of the input ends the lines, not the job.

    Without `lines` only the page's buttons type.
    """

    def __init__(self, lines: TextIO | None) -> None:
        self._lines: queue.Queue[str | None] = queue.Queue()
        if lines is not None:
            threading.Thread(target=self._read, args=(lines,), daemon=True).start()

    def press(self, phrase: str) -> None:
        """A button was pressed: its phrase comes as if it were typed. May be called from any thread."""
        self._lines.put(phrase)

    def waiting(self) -> Iterator[str]:
        """The lines typed since the last call, at once."""
        while not self._lines.empty():
            line = self._lines.get()
            if line is not None:
                yield line

    def arriving(self, clock: Clock) -> Iterator[TypedLine | Pause]:
        """Lines as they come, with a pause now and then, until the input ends."""
        while True:
            try:
                line = self._lines.get(timeout=_PATIENCE_SECONDS)
            except queue.Empty:
                yield Pause(clock.now())
                continue
            if line is None:
                return
            yield TypedLine(line, clock.now())

    def _read(self, lines: TextIO) -> None:
        for line in lines:
            if line.strip():
                self._lines.put(line.strip())
        self._lines.put(None)


class Typing(Protocol):
    """Anyone who types beside the microphone."""

    def waiting(self) -> Iterator[str]:
        """The lines typed since the last call."""
        ...


def heard_and_typed(source: SoundSource, keyboard: Typing | None) -> Iterator[Incoming]:
    """The blocks of a source with what is typed beside it."""
    for block in source.blocks():
        if keyboard is not None:
            for line in keyboard.waiting():
                yield TypedLine(line, block.moment)
        yield block
