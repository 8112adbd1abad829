"""Who answers the bench: the job, or the choosing before it."""

from __future__ import annotations

from collections.abc import Collection
from typing import Protocol

from sparehand.ground.clock import Moment
from sparehand.job.answer import Answer
from sparehand.job.commands import Command, Help
from sparehand.job.events import By
from sparehand.job.job_opening import Opening, choose, opening_answer
from sparehand.job.situation import Situation
from sparehand.job.state import JobState


class Responder(Protocol):
    """Whoever answers commands: an open job, or the choosing of a new one."""

    @property
    def over(self) -> bool:
        """Whether there is nothing left to say."""
        ...

    @property
    def situations(self) -> frozenset[Situation]:
        """What counts as said now."""
        ...

    @property
    def current(self) -> JobState | None:
        """The job, where there is one."""
        ...

    def respond(self, command: Command, now: Moment, phrases: Collection[str], by: By | None, /) -> Answer:
        """Do what was asked and answer; `phrases` are a few that can be said now, `by` what it was asked with."""
        ...

    def tick(self, now: Moment, /) -> Answer:
        """Let time pass."""
        ...

    def likely(self, now: Moment, /) -> tuple[str, ...]:
        """What will probably be said next, so that it can be made ready."""
        ...


class OpeningResponder:
    """The choosing of operations and sides before a job begins."""

    situations: frozenset[Situation] = frozenset({"opening"})
    current = None

    def __init__(self, opening: Opening) -> None:
        self.opening = opening

    @property
    def over(self) -> bool:
        """Whether the job may begin."""
        return self.opening.begun

    def respond(self, command: Command, _now: Moment, _phrases: Collection[str], _by: By | None) -> Answer:
        """Choose, and say what is chosen and what is missing."""
        if isinstance(command, Help):
            return opening_answer(self.opening)
        self.opening = choose(self.opening, command)
        return opening_answer(self.opening, command)

    def tick(self, _now: Moment) -> Answer:
        """Nothing happens by itself before a job."""
        return Answer()

    def likely(self, _now: Moment) -> tuple[str, ...]:
        """Nothing that could be known."""
        return ()
