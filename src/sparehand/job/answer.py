"""What the bench says and shows, as types; the wording of each answer lives in `answers`."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from typing import Literal
from uuid import UUID

from sparehand.ground.plurals import agreeing
from sparehand.procedures import wording
from sparehand.procedures.plan import StepKey
from sparehand.procedures.quantities import TorqueUnit

Tone = Literal["heard", "refused", "not understood", "timer", "lapsed"]


@dataclass(frozen=True)
class Line:
    """One sentence, as it is spoken and as it is shown: the same data twice.

    `terse` is what is spoken of it where answers are terse, perhaps nothing; None is all of it. `whole` is what no
    budget shortens: a sentence of the file, a warning, a gate. `entries` counts the entries of a list in it.
    """

    spoken: str
    shown: str
    terse: str | None = None
    whole: bool = False
    entries: int = 0

    def framed(self, before: str = "", after: str = "") -> Line:
        """The same line with words before and after it."""
        return Line(f"{before}{self.spoken}{after}", f"{before}{self.shown}{after}")

    def shortened(self, terse: str) -> Line:
        """The same line, of which only `terse` is spoken where answers are terse."""
        return replace(self, terse=terse)

    def kept_whole(self) -> Line:
        """The same line, which no budget of words shortens."""
        return replace(self, whole=True)

    def of_entries(self, count: int) -> Line:
        """The same line as `count` entries of a list, which is read a few at a time."""
        return replace(self, entries=count)

    def said(self, *, tersely: bool) -> str:
        """What is spoken."""
        return self.spoken if self.terse is None or not tersely else self.terse


@dataclass(frozen=True)
class Answer:
    """The answer to a command: sentences in order, and the tone before them. Empty lines are never spoken.

    `sounds` are recordings, by their events' ids, that are played after the words. `rest` is what "say more" goes on
    with, `torque_unit` the unit of the torques in it, `step` the step whose sentence it says, where it says one.
    """

    lines: tuple[Line, ...] = field(default=())
    tone: Tone | None = None
    sounds: tuple[UUID, ...] = ()
    rest: tuple[Line, ...] = ()
    torque_unit: TorqueUnit | None = None
    step: StepKey | None = None

    @property
    def spoken(self) -> str:
        """All that is spoken."""
        return " ".join(line.spoken for line in self.lines if line.spoken)

    @property
    def shown(self) -> str:
        """All that is shown."""
        return " ".join(line.shown for line in self.lines if line.shown)


def plain(text: str) -> Line:
    """A sentence that is spoken as it is shown."""
    return Line(text, text)


def from_file(text: str) -> Line:
    """A sentence of the procedure file, or one with a warning or a gate: no budget shortens it."""
    return Line(text, text, whole=True)


def hint(text: str) -> Line:
    """What to say, in full answers alone."""
    return Line(text, text, terse="")


def numbered(text: str, **numbers: int) -> Line:
    """A sentence with whole numbers in its places: words for the ear, figures for the eye."""
    spoken = {name: wording.number_spoken(number) for name, number in numbers.items()}
    return Line(text.format(**spoken), text.format(**numbers))


def counted(count: int, thing: str, things: str | None = None) -> Line:
    """A number of things: "four bolts" for the ear, "4 bolts" for the eye."""
    return numbered(f"{{count}} {agreeing(count, thing, things)}", count=count)


def together(lines: Iterable[Line], between: str) -> Line:
    """Several lines as one, with `between` between them."""
    parts = tuple(lines)
    return Line(between.join(part.spoken for part in parts), between.join(part.shown for part in parts))


def quantity(value: float, unit: str) -> Line:
    """A value with its unit: digit by digit for the ear, as written for the eye."""
    return Line(wording.quantity_spoken(value, unit), wording.quantity_shown(value, unit))


def called(label: str) -> Line:
    """A name that may hold numbers, such as "Timer 2": in words for the ear."""
    return Line(wording.label_spoken(label), label)


def duration(seconds: float) -> Line:
    """A duration, for ear and eye."""
    return Line(wording.duration_spoken(seconds), wording.duration_shown(seconds))
