"""What comes to the bench, in one stream: sound, typed lines, the key that opens the ears, and passing time."""

from __future__ import annotations

import queue
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from io import TextIOWrapper
from typing import Protocol, TextIO
from uuid import UUID

from sparehand.conversation.keys import Press
from sparehand.ground.clock import Clock, Moment
from sparehand.ground.supervision import supervised
from sparehand.procedures.plan import StepKey
from sparehand.voice.recognising.heard import Source
from sparehand.voice.sound.samples import SoundBlock
from sparehand.voice.sound.sources import SoundSource

LONGEST_LINE = 10_000
"""Characters of a line that are read at once."""
_PATIENCE_SECONDS = 0.25
"""How long a keyboard without a microphone is waited for before time is let pass."""


@dataclass(frozen=True)
class TypedLine:
    """A line typed at the bench, or brought by a button of the page: one phrase."""

    text: str
    moment: Moment
    source: Source = "typed"


@dataclass(frozen=True)
class KeyPress:
    """The key that opens the ears was tapped, is held, or was let go."""

    press: Press
    moment: Moment


@dataclass(frozen=True)
class Report:
    """Something at the rim failed, or works again: a sentence to show and to speak."""

    text: str
    moment: Moment


@dataclass(frozen=True)
class PictureArrived:
    """A picture of a step of `job` was taken with the page; its file, named by `id`, is on the disk."""

    id: UUID
    job: str
    at: StepKey
    moment: Moment


@dataclass(frozen=True)
class TimePassed:
    """Nothing came; time passed."""

    moment: Moment


Incoming = SoundBlock | TypedLine | KeyPress | PictureArrived | Report | TimePassed
_Waiting = Callable[[Moment], Incoming]


class Keyboard:
    """Lines and keys typed at the bench, beside everything else. The end of the input ends the lines, not the job.

    Where `lines` are read whole, an empty one is a tap of the key. Without them, somebody else types: the terminal's
    keys one by one, or the page's buttons.
    """

    def __init__(self, lines: TextIO | None) -> None:
        self._waiting: queue.Queue[_Waiting | None] = queue.Queue()
        if lines is not None:
            supervised("the keyboard", partial(self._read, lines), self.report)

    def press(self, typed: str | Press) -> None:
        """A button's phrase, a line or a key, as if it were typed here. May be called from any thread."""
        self._waiting.put(partial(TypedLine, typed) if isinstance(typed, str) else partial(KeyPress, typed))

    def press_on_page(self, phrase: str) -> None:
        """The phrase of a button of the bay page. May be called from any thread."""
        self._waiting.put(partial(TypedLine, phrase, source="page"))

    def bring_picture(self, id: UUID, job: str, at: StepKey) -> None:
        """A picture that was taken with the page. May be called from any thread."""
        self._waiting.put(partial(PictureArrived, id, job, at))

    def report(self, text: str) -> None:
        """Something to show and to speak. May be called from any thread."""
        self._waiting.put(partial(Report, text))

    def waiting(self, moment: Moment) -> Iterator[Incoming]:
        """What came since the last call, at once."""
        while not self._waiting.empty():
            waiting = self._waiting.get()
            if waiting is not None:
                yield waiting(moment)

    def arriving(self, clock: Clock) -> Iterator[Incoming]:
        """What is typed as it comes, with the passing of time now and then, until the input ends."""
        while True:
            try:
                waiting = self._waiting.get(timeout=_PATIENCE_SECONDS)
            except queue.Empty:
                yield TimePassed(clock.now())
                continue
            if waiting is None:
                return
            yield waiting(clock.now())

    def _read(self, lines: TextIO) -> None:
        """Bytes that are no text are replaced: a wrong phrase is refused, a reader that died is deaf for good."""
        if isinstance(lines, TextIOWrapper) and lines.errors != "replace":
            lines.reconfigure(errors="replace")
        try:
            for line in iter(partial(lines.readline, LONGEST_LINE), ""):
                self.press(line.strip() or Press("tapped"))
        except (OSError, ValueError):
            self.report("the keyboard is lost")
        self._waiting.put(None)


class Typing(Protocol):
    """Anyone who types beside the microphone."""

    def waiting(self, moment: Moment) -> Iterator[Incoming]:
        """What was typed since the last call."""
        ...


def sound_and_typing(source: SoundSource, keyboard: Typing | None) -> Iterator[Incoming]:
    """The blocks of a source with what is typed beside it."""
    for block in source.blocks():
        if keyboard is not None:
            yield from keyboard.waiting(block.moment)
        yield block
