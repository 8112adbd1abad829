"""Time as the job sees it: a wall clock for people and a steady clock for durations, always read together."""

from __future__ import annotations

import time
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Protocol

from pydantic import AwareDatetime, BaseModel, ConfigDict


class Moment(BaseModel):
    """One reading of both clocks.

    `steady_ms` are milliseconds of a clock that never steps; they compare only within the same `run`
    (one start of the bench). Between runs only `wall` is left.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    wall: AwareDatetime
    steady_ms: int
    run: str

    def milliseconds_until(self, later: Moment) -> int:
        """Whole milliseconds from this moment to `later`; never negative, for time does not run back."""
        if self.run == later.run:
            return max(0, later.steady_ms - self.steady_ms)
        return max(0, round((later.wall - self.wall) / timedelta(milliseconds=1)))


class Clock(Protocol):
    """Gives the present moment; the live clock, a sound file's and a test's all do."""

    def now(self) -> Moment: ...


class LiveClock:
    """The clocks of this machine."""

    def __init__(self, run: str) -> None:
        self._run = run

    def now(self) -> Moment:
        """The present wall and steady time."""
        return Moment(wall=datetime.now(UTC).astimezone(), steady_ms=time.monotonic_ns() // 1_000_000, run=self._run)


@dataclass
class HandClock:
    """A clock that moves only when told to: for recorded sound and for tests."""

    moment: Moment

    def now(self) -> Moment:
        """The moment it was last moved to."""
        return self.moment

    def advance(self, milliseconds: int) -> None:
        """Move wall and steady time on together."""
        self.moment = Moment(
            wall=self.moment.wall + timedelta(milliseconds=milliseconds),
            steady_ms=self.moment.steady_ms + milliseconds,
            run=self.moment.run,
        )


def start_of_run(wall: datetime, run: str) -> HandClock:
    """A hand clock that starts at `wall` with its steady time at zero."""
    return HandClock(Moment(wall=wall, steady_ms=0, run=run))


__all__ = ["Clock", "HandClock", "LiveClock", "Moment", "start_of_run"]
