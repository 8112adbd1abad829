"""What the bench says and shows, as types; the wording of each answer lives in `answers`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Literal
from uuid import UUID

from sparehand.procedures import wording

Tone = Literal["heard", "refused", "not understood", "timer", "lapsed"]


@dataclass(frozen=True)
class Line:
    """One sentence, as it is spoken and as it is shown: the same data twice.

    `terse` is what is spoken of it where answers are terse, perhaps nothing; None is all of it.
    """

    spoken: str
    shown: str
    terse: str | None = None

    def framed(self, before: str = "", after: str = "") -> Line:
        """The same line with words before and after it."""
        return Line(f"{before}{self.spoken}{after}", f"{before}{self.shown}{after}")

    def shortened(self, terse: str) -> Line:
        """The same line, of which only `terse` is spoken where answers are terse."""
        return Line(self.spoken, self.shown, terse)

    def said(self, *, tersely: bool) -> str:
        """What is spoken."""
        return self.spoken if self.terse is None or not tersely else self.terse


@dataclass(frozen=True)
class Answer:
    """The answer to a command: sentences in order, and the tone before them. Empty lines are never spoken.

    `sounds` are recordings, by their events' ids, that are played after the words.
    """

    lines: tuple[Line, ...] = field(default=())
    tone: Tone | None = None
    sounds: tuple[UUID, ...] = ()

    @property
    def spoken(self) -> str:
        """All that is spoken."""
        return " ".join(line.spoken for line in self.lines if line.spoken)

    @property
    def shown(self) -> str:
        """All that is shown."""
        return " ".join(line.shown for line in self.lines)


def plain(text: str) -> Line:
    """A sentence that is spoken as it is shown."""
    return Line(text, text)


def together(lines: Iterable[Line], between: str) -> Line:
    """Several lines as one, with `between` between them."""
    parts = tuple(lines)
    return Line(between.join(part.spoken for part in parts), between.join(part.shown for part in parts))


def quantity(value: float, unit: str) -> Line:
    """A value with its unit: digit by digit for the ear, as written for the eye."""
    return Line(wording.quantity_spoken(value, unit), wording.quantity_shown(value, unit))


def duration(seconds: float) -> Line:
    """A duration, for ear and eye."""
    return Line(wording.duration_spoken(seconds), wording.duration_shown(seconds))
