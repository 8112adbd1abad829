"""The phrase table: which words mean which command, in which situation. The words themselves are data."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Literal

from sparehand.job.commands import Command

Situation = Literal["opening", "working", "hold", "question", "reading"]
"""What is going on, which decides what counts as said: choosing the work, doing it, waiting, answering yes or no,
giving a value."""


@dataclass(frozen=True)
class SpokenNames:
    """The names a procedure adds to the table: what is said, and the id that is meant."""

    operations: Mapping[str, str]
    phases: Mapping[str, str]


@dataclass(frozen=True)
class Pattern:
    """One way of saying something. Slots stand as `{digits}`, `{count}`, `{minutes}` or `{name}`."""

    phrase: str
    command: str
    does: str
    situations: frozenset[Situation]


@dataclass(frozen=True)
class PhraseTable:
    """Everything that can be said."""

    patterns: tuple[Pattern, ...]
    call_word: str

    def command_for(self, text: str, situations: Collection[Situation]) -> Command | None:
        """The command that `text` means in any of `situations`, or None."""
        raise NotImplementedError
