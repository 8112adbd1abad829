"""Time as the job sees it: a wall clock for people and a steady clock for durations, always read together."""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from typing import Protocol

from pydantic import BaseModel, ConfigDict

from sparehand.ground.bounds import Name, Wall, Whole

_MILLISECOND = timedelta(milliseconds=1)


class Moment(BaseModel):
    """One reading of both clocks.

    `steady_ms` are milliseconds of a clock that never steps; they compare only within the same `run`
    (one start of the bench). Between runs only `wall` is left.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    wall: Wall
    steady_ms: Whole
    run: Name

    def milliseconds_until(self, later: Moment) -> int:
        """Whole milliseconds from this moment to `later`; never negative, for time does not run back."""
        if self.run == later.run:
            return max(0, later.steady_ms - self.steady_ms)
        return max(0, self.wall_milliseconds_until(later))

    def wall_step_ms(self, later: Moment) -> int:
        """How far the wall clock was set between this moment and `later`, by the steady clock; 0 between two runs."""
        if self.run != later.run:
            return 0
        return self.wall_milliseconds_until(later) - (later.steady_ms - self.steady_ms)

    def wall_milliseconds_until(self, later: Moment) -> int:
        """Whole milliseconds from this moment to `later` by the wall clock alone; negative where it was set back."""
        # Two times of one zone would be subtracted as they read, wrong by an hour over a change to summer time.
        return round((later.wall.astimezone(UTC) - self.wall.astimezone(UTC)) / _MILLISECOND)


class Clock(Protocol):
    """Gives the present moment; the live clock, a sound file's and a test's all do."""

    def now(self) -> Moment:
        """The present moment."""


class LiveClock:
    """The clocks of this machine."""

    def __init__(self, run: str) -> None:
        self._run = run

    def now(self) -> Moment:
        """The present wall and steady time."""
        return Moment(wall=datetime.now(UTC).astimezone(), steady_ms=_steady_ns() // 1_000_000, run=self._run)


def _steady_ns() -> int:
    """A clock that never steps and goes on while the machine sleeps.

    On Linux `time.monotonic` stands still then, on macOS too; each has another clock that does not.
    """
    if sys.platform == "linux":
        return time.clock_gettime_ns(time.CLOCK_BOOTTIME)
    if sys.platform == "darwin":
        return time.clock_gettime_ns(time.CLOCK_MONOTONIC)
    return time.monotonic_ns()


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

    def set_wall(self, by_ms: int) -> None:
        """Set the wall clock forward or back; no time passes by that."""
        self.moment = self.moment.model_copy(update={"wall": self.moment.wall + timedelta(milliseconds=by_ms)})


def start_of_run(wall: datetime, run: str) -> HandClock:
    """A hand clock that starts at `wall` with its steady time at zero."""
    return HandClock(Moment(wall=wall, steady_ms=0, run=run))


__all__ = ["Clock", "HandClock", "LiveClock", "Moment", "start_of_run"]
