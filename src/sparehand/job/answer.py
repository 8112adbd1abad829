"""What the bench says and shows, as types; the wording of each answer lives in `answers`."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

Tone = Literal["heard", "refused", "not understood", "timer", "lapsed"]


@dataclass(frozen=True)
class Line:
    """One sentence, as it is spoken and as it is shown: the same data twice."""

    spoken: str
    shown: str


@dataclass(frozen=True)
class Answer:
    """The answer to a command: sentences in order, and the tone before them. Empty lines are never spoken."""

    lines: tuple[Line, ...] = field(default=())
    tone: Tone | None = None

    @property
    def spoken(self) -> str:
        """All that is spoken."""
        return " ".join(line.spoken for line in self.lines)

    @property
    def shown(self) -> str:
        """All that is shown."""
        return " ".join(line.shown for line in self.lines)


def plain(text: str) -> Line:
    """A sentence that is spoken as it is shown."""
    return Line(text, text)
