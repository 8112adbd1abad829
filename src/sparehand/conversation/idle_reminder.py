"""The reminder that comes when nobody has said or pressed anything for long."""

from __future__ import annotations

from sparehand.ground.clock import Moment
from sparehand.ground.plurals import how_many
from sparehand.job.answer import Answer, plain
from sparehand.job.state import JobState


class IdleReminder:
    """Asks whether the work is on hold, once for every so many minutes without a word; 0 minutes is never."""

    def __init__(self, minutes: int) -> None:
        self._minutes = minutes
        self._stirred: Moment | None = None

    def stirred(self, now: Moment) -> None:
        """Something was said, or a key was pressed."""
        self._stirred = now

    def due(self, state: JobState | None, now: Moment) -> Answer:
        """The reminder where it is time for it: the clock runs as work, no timer runs, and nothing is asked."""
        if self._stirred is None or not _works_unseen(state):
            self._stirred = now
        if not self._minutes or self._stirred.milliseconds_until(now) < self._minutes * 60_000:
            return Answer()
        self._stirred = now
        asks = f"Nothing was said for {how_many(self._minutes, 'minute')}. If the work is on hold, say hold and why."
        return Answer((plain(asks),), tone="heard")


def _works_unseen(state: JobState | None) -> bool:
    return state is not None and not (state.progress.hold or state.progress.question or state.progress.timers)
