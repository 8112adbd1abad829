"""What comes to the bench, in one stream: sound, typed lines, the key that opens the ears, and passing time."""

from __future__ import annotations

import queue
import threading
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol, TextIO

from sparehand.conversation.keys import Press
from sparehand.ground.clock import Clock, Moment
from sparehand.voice.sound.samples import SoundBlock
from sparehand.voice.sound.sources import SoundSource

_PATIENCE_SECONDS = 0.25
"""How long a keyboard without a microphone is waited for before time is let pass."""


@dataclass(frozen=True)
class TypedLine:
    """A line typed at the bench: one phrase."""

    text: str
    moment: Moment


@dataclass(frozen=True)
class KeyPress:
    """The key that opens the ears was tapped, is held, or was let go."""

    press: Press
    moment: Moment


@dataclass(frozen=True)
class TimePassed:
    """Nothing came; time passed."""

    moment: Moment


Incoming = SoundBlock | TypedLine | KeyPress | TimePassed
Typed = str | Press


class Keyboard:
    """Lines and keys typed at the bench, beside everything else. The end of the input ends the lines, not the job.

    Where `lines` are read whole, an empty one is a tap of the key. Without them, somebody else types: the terminal's
    keys one by one, or the page's buttons.
    """

    def __init__(self, lines: TextIO | None) -> None:
        self._typed: queue.Queue[Typed | None] = queue.Queue()
        if lines is not None:
            threading.Thread(target=self._read, args=(lines,), daemon=True).start()

    def press(self, typed: Typed) -> None:
        """A button's phrase, a line or a key, as if it were typed here. May be called from any thread."""
        self._typed.put(typed)

    def waiting(self) -> Iterator[Typed]:
        """What was typed since the last call, at once."""
        while not self._typed.empty():
            typed = self._typed.get()
            if typed is not None:
                yield typed

    def arriving(self, clock: Clock) -> Iterator[Incoming]:
        """What is typed as it comes, with the passing of time now and then, until the input ends."""
        while True:
            try:
                typed = self._typed.get(timeout=_PATIENCE_SECONDS)
            except queue.Empty:
                yield TimePassed(clock.now())
                continue
            if typed is None:
                return
            yield _incoming(typed, clock.now())

    def _read(self, lines: TextIO) -> None:
        for line in lines:
            self._typed.put(line.strip() or Press("tapped"))
        self._typed.put(None)


class Typing(Protocol):
    """Anyone who types beside the microphone."""

    def waiting(self) -> Iterator[Typed]:
        """What was typed since the last call."""
        ...


def sound_and_typing(source: SoundSource, keyboard: Typing | None) -> Iterator[Incoming]:
    """The blocks of a source with what is typed beside it."""
    for block in source.blocks():
        if keyboard is not None:
            for typed in keyboard.waiting():
                yield _incoming(typed, block.moment)
        yield block


def _incoming(typed: Typed, moment: Moment) -> Incoming:
    return TypedLine(typed, moment) if isinstance(typed, str) else KeyPress(typed, moment)
