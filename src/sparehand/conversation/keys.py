"""Keys one by one: letters make a line, any key that types nothing opens the ears, tapped or held.

A terminal tells when a key goes down and repeats it while it is held; that it was let go is known from the silence
after the last repeat. A pedal or a remote that acts as a keyboard is a key like any other.
"""

from __future__ import annotations

import os
import select
import sys
import threading
import time
from codecs import getincrementaldecoder
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import partial
from typing import Literal, TextIO

from sparehand.ground.supervision import supervised
from sparehand.ground.terminal import unfiltered

FIRST_REPEAT_SECONDS = 0.75
"""Keyboards begin to repeat a held key within this time, most after half a second."""
LET_GO_SECONDS = 0.3
"""A held key that has not repeated for so long was let go."""
_LONGEST_SEQUENCE = 32


@dataclass(frozen=True)
class Press:
    """What the key does: `tapped`, `held` since `ago_seconds`, or `let go`."""

    how: Literal["tapped", "held", "let go"]
    ago_seconds: float = 0.0


class KeyTiming:
    """Tells a tap from a held key by when it comes down again. Times are steady seconds."""

    def __init__(self) -> None:
        self._first: float | None = None
        self._last = 0.0
        self._held = False

    def down(self, at: float) -> Press | None:
        """The key came down, or repeats."""
        first, self._last = self._first, at
        if self._held:
            return None
        if first is not None and at - first <= FIRST_REPEAT_SECONDS:
            self._held = True
            return Press("held", at - first)
        self._first = at
        return Press("tapped")

    def passing(self, at: float) -> Press | None:
        """Time passes without the key."""
        if self._held and at - self._last > LET_GO_SECONDS:
            self._held, self._first = False, None
            return Press("let go")
        return None


@dataclass
class KeyReader:
    """Makes lines and presses of what a terminal sends.

    `echo` shows what is typed; `also` is a character that is the key all the same where it would begin a line.
    """

    echo: Callable[[str], None]
    also: str = ""
    timing: KeyTiming = field(default_factory=KeyTiming)
    line: str = ""

    def take(self, sent: str, at: float) -> Iterator[str | Press]:
        """What one reading of the terminal means."""
        if sent.startswith("\x1b"):
            yield from self._key(at)
            return
        for character in sent:
            if character in "\r\n" and self.line:
                line, self.line = self.line.strip(), ""
                self.echo("\r\x1b[K")
                yield line or Press("tapped")
            elif character in "\x7f\b":
                self._rub_out()
            elif character.isprintable() and (self.line or character not in (" ", self.also)):
                self.line += character
                self.echo(character)
            else:
                yield from self._key(at)

    def passing(self, at: float) -> Iterator[Press]:
        """What it means that nothing came."""
        if (press := self.timing.passing(at)) is not None:
            yield press

    def _key(self, at: float) -> Iterator[Press]:
        if (press := self.timing.down(at)) is not None:
            yield press

    def _rub_out(self) -> None:
        if self.line:
            self.line = self.line[:-1]
            self.echo("\b \b")


def can_read_keys(stream: TextIO) -> bool:
    """Whether keys can be had one by one: a terminal of a system that has termios."""
    return sys.platform != "win32" and stream.isatty()


@contextmanager
def keys_of(
    stream: TextIO, typed: Callable[[str | Press], None], tell: Callable[[str], None], also: str = ""
) -> Iterator[None]:
    """Give `typed` every line and press of a terminal, from a thread; the terminal is as before afterwards.

    `tell` is told in words what goes wrong; `also` is a character that is the key although it types something.
    Signals work as ever (Ctrl-C, Ctrl-Z). Raises termios.error where `stream` is no terminal.
    """
    import termios
    import tty

    number = stream.fileno()
    before = termios.tcgetattr(number)
    tty.setcbreak(number, termios.TCSADRAIN)
    ended = threading.Event()
    reader = supervised("the keys", partial(_read, number, KeyReader(_echo, also), typed, ended), tell, ended.wait)
    try:
        yield
    finally:
        ended.set()
        reader.join()
        termios.tcsetattr(number, termios.TCSADRAIN, before)


def _read(number: int, keys: KeyReader, typed: Callable[[str | Press], None], ended: threading.Event) -> None:
    decoder = getincrementaldecoder("utf-8")("ignore")  # a letter may come in two readings
    while not ended.is_set():
        ready, _, _ = select.select([number], [], [], LET_GO_SECONDS / 2)
        now = time.monotonic()
        if ready:
            try:
                sent = os.read(number, _LONGEST_SEQUENCE)
            except OSError:
                return  # the terminal is lost; the job goes on by voice
            if not sent:
                return
            for one in keys.take(decoder.decode(sent), now):
                typed(one)
        for press in keys.passing(now):
            typed(press)


def _echo(text: str) -> None:
    unfiltered(sys.stdout).write(text)
    sys.stdout.flush()
