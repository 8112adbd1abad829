"""A log that cannot be written stops nothing: it is said, and said again when what is said is recorded again."""

from __future__ import annotations

from collections.abc import Callable, Collection

from sparehand.conversation.responder import Responder
from sparehand.ground.clock import Moment
from sparehand.ground.errors import FailureError
from sparehand.job.answer import Answer, Line, plain
from sparehand.job.commands import Command
from sparehand.job.events import By

REMINDER_MS = 60_000
"""How often a technician who goes on working is reminded that nothing is recorded."""


class Saving:
    """Lets a responder answer, and refuses where that cannot save what it decided.

    What was answered was saved; what could not be saved is refused with its reason, and is to be said again.
    """

    def __init__(self) -> None:
        self._failed: Moment | None = None

    def respond(
        self, responder: Responder, command: Command, now: Moment, phrases: Collection[str], by: By | None = None
    ) -> Answer:
        """The answer to a command, or the refusal."""
        try:
            return self._saved(responder, lambda: responder.respond(command, now, phrases, by))
        except FailureError as error:
            self._failed = now
            return _unsaved(error)

    def tick(self, responder: Responder, now: Moment) -> Answer:
        """What passing time brings. Where that cannot be saved it fails every second, and is said every minute."""
        try:
            return self._saved(responder, lambda: responder.tick(now))
        except FailureError as error:
            if self._failed is not None and self._failed.milliseconds_until(now) < REMINDER_MS:
                return Answer()
            self._failed = now
            return _unsaved(error)

    def _saved(self, responder: Responder, answered: Callable[[], Answer]) -> Answer:
        before = _next_sequence(responder)
        answer = answered()
        if self._failed is not None and _next_sequence(responder) != before:
            self._failed = None
            return Answer((plain("What you say is recorded again."), *answer.lines), answer.tone, answer.sounds)
        return answer


def _next_sequence(responder: Responder) -> int:
    return responder.current.next_sequence if responder.current is not None else 0


def _unsaved(error: FailureError) -> Answer:
    shown = f"Not recorded: {error}."
    return Answer((Line("Not recorded, the log cannot be written. The screen says why.", shown),), tone="refused")
