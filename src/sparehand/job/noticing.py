"""What the clocks tell that nobody said: the wall clock was set, the bench stood still."""

from __future__ import annotations

from sparehand.ground.clock import Moment
from sparehand.job.events import BenchSlept, ClockStepped, Event

STEP_MS = 2_000
"""From this much on the wall clock was set. Below lies what keeping it right moves it by, a little every day."""
ASLEEP_MS = 180_000
"""A bench that runs looks at the clock every second; after so long a silence it did not run."""


def noticed(awake: Moment | None, latest: Moment, now: Moment) -> tuple[Event, ...]:
    """What happened to bench and clock since `latest`, the last event; `awake` is when the bench last looked."""
    found: list[Event] = []
    if awake is not None and awake.run == now.run and awake.milliseconds_until(now) > ASLEEP_MS:
        found.append(BenchSlept(asleep_ms=awake.milliseconds_until(now)))
    step_ms = latest.wall_step_ms(now)
    if abs(step_ms) >= STEP_MS:
        found.append(ClockStepped(by_ms=step_ms))
    return tuple(found)
