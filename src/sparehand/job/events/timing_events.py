"""Holds, snags and timers."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sparehand.job.events.words_events import Fact, HoldReason, SnagKind


class HoldStarted(Fact):
    """Work stops, with a reason."""

    kind: Literal["hold started"] = "hold started"
    reason: HoldReason


class HoldEnded(Fact):
    """Work goes on."""

    kind: Literal["hold ended"] = "hold ended"


class SnagStarted(Fact):
    """Something begins to cost worked time."""

    kind: Literal["snag started"] = "snag started"
    snag: SnagKind


class SnagEnded(Fact):
    """The snag is over; the phase goes on."""

    kind: Literal["snag ended"] = "snag ended"


class TimerStarted(Fact):
    """A named timer runs."""

    kind: Literal["timer started"] = "timer started"
    name: str
    minutes: float = Field(gt=0, le=1_000_000)


class TimerRang(Fact):
    """A timer came due and was spoken."""

    kind: Literal["timer rang"] = "timer rang"
    name: str


class TimerStopped(Fact):
    """A timer was stopped before it was due."""

    kind: Literal["timer stopped"] = "timer stopped"
    name: str


TimingEvent = HoldStarted | HoldEnded | SnagStarted | SnagEnded | TimerStarted | TimerRang | TimerStopped
