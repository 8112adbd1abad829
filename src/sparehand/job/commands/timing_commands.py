"""Holds, snags, timers and gaps."""

from __future__ import annotations

from dataclasses import dataclass

from sparehand.job.events import HoldReason, SnagKind


@dataclass(frozen=True)
class Hold:
    """Stop the work clock, with a reason."""

    reason: HoldReason


@dataclass(frozen=True)
class GoOn:
    """Work goes on after a hold."""


@dataclass(frozen=True)
class Snag:
    """Something costs worked time."""

    kind: SnagKind


@dataclass(frozen=True)
class SnagOver:
    """The snag is over."""


@dataclass(frozen=True)
class StartTimer:
    """Start the present step's timer, or one of `minutes`."""

    minutes: int | None = None


@dataclass(frozen=True)
class StopTimer:
    """Stop the timer that is due next."""


@dataclass(frozen=True)
class WasWork:
    """The gap was work."""


@dataclass(frozen=True)
class WasHold:
    """The gap was a hold."""


@dataclass(frozen=True)
class Tick:
    """Time has passed: due timers ring, questions lapse. Sent by the bench, never spoken."""


TimingCommand = Hold | GoOn | Snag | SnagOver | StartTimer | StopTimer | WasWork | WasHold | Tick
