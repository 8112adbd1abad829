"""A doubtful phrase of lasting effect is asked back before anything is done."""

from __future__ import annotations

from dataclasses import dataclass

from sparehand.ground.clock import Moment
from sparehand.job.answer import Answer, plain
from sparehand.job.commands import Close, Command, Confirm, Refuse
from sparehand.voice.recognising.heard import Heard

LAPSES_MS = 20_000
"""How long a phrase that was asked back waits for its yes."""


@dataclass(frozen=True)
class _Doubted:
    command: Command
    since: Moment


class AskingBack:
    """Holds at most one command that waits for its yes."""

    def __init__(self) -> None:
        self._doubted: _Doubted | None = None

    @property
    def waiting(self) -> bool:
        """Whether a question waits for its answer."""
        return self._doubted is not None

    def resolve(self, command: Command, heard: Heard, moment: Moment) -> Command | Answer:
        """What to carry out for the accepted phrase `heard`, or what to answer in place of that.

        Closing a job is asked back by the job itself.
        """
        doubted, self._doubted = self._doubted, None
        if doubted is not None and isinstance(command, Confirm):
            return doubted.command
        if doubted is not None and isinstance(command, Refuse):
            return Answer((plain("Left as it was."),), tone="heard")
        if heard.asks_back and not isinstance(command, Close):
            self._doubted = _Doubted(command, moment)
            return Answer((plain(f"Did you say {heard.text}? Yes confirm, or no cancel."),), tone="heard")
        return command

    def lapses(self, moment: Moment) -> bool:
        """Whether a question is dropped now, because nobody answered it in time."""
        if self._doubted is None or self._doubted.since.milliseconds_until(moment) <= LAPSES_MS:
            return False
        self._doubted = None
        return True
