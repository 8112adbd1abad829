"""The time of one technician on a job, from joining to leaving: every millisecond under exactly one label."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

from sparehand.ground.clock import Moment
from sparehand.job.events import GapAnswer, HoldReason, SnagKind
from sparehand.procedures.plan import PhaseKey

CLOCK_SETTLES_MS = 600_000
"""A wall clock that steps this soon after the bench started was wrong from the start."""


@dataclass(frozen=True)
class Label:
    """What a stretch of time was. A snag is worked time; a gap is time of which nobody has said what it was.

    `away` marks time when the bench was not running, whatever it was.
    """

    kind: Literal["work", "hold", "gap"]
    phase: PhaseKey
    technician: str
    hold: HoldReason | None = None
    snag: SnagKind | None = None
    away: bool = False


@dataclass(frozen=True)
class Span:
    """A closed stretch of time."""

    label: Label
    milliseconds: int


@dataclass(frozen=True)
class Stop:
    """The last time when the bench was off: which span it became, and the clocks on both sides of it.

    `step_ms` is by how much the wall clock has turned out to be behind at its end.
    """

    place: int
    before: Moment
    started: Moment
    step_ms: int = 0

    @property
    def wall_ms(self) -> int:
        """How long it was by the wall clock, put right; negative where that is still wrong."""
        return self.before.wall_milliseconds_until(self.started) + self.step_ms

    def told_by_a_step(self, at: Moment) -> bool:
        """Whether a step of the wall clock at `at` tells that it was wrong when the bench started."""
        soon = self.started.milliseconds_until(at) <= CLOCK_SETTLES_MS
        return self.started.run == at.run and (self.wall_ms < 0 or soon)


@dataclass(frozen=True)
class Account:
    """Closed spans, and the one that runs. The sum of all milliseconds is the time from joining to `latest`."""

    label: Label
    latest: Moment
    running_ms: int = 0
    spans: tuple[Span, ...] = field(default=())
    ended: bool = False
    stop: Stop | None = None

    def up_to(self, now: Moment) -> Account:
        """The same account with the running span carried on to `now`."""
        if self.ended:
            return self
        return replace(self, latest=now, running_ms=self.running_ms + self.latest.milliseconds_until(now))

    def under(self, label: Label) -> Account:
        """Close the running span and go on under `label`."""
        if label == self.label:
            return self
        return replace(self, label=label, running_ms=0, spans=self.all_spans())

    def end(self) -> Account:
        """Close the running span for good."""
        return replace(self, running_ms=0, spans=self.all_spans(), ended=True)

    def all_spans(self) -> tuple[Span, ...]:
        """Every span, the running one last."""
        return (*self.spans, Span(self.label, self.running_ms)) if self.running_ms else self.spans

    def across_stop(self, now: Moment) -> Account:
        """Carry on over a time when the bench was off: a gap, unless a hold was said before it."""
        stop = Stop(len(self.all_spans()), self.latest, now)
        return replace(self._away(now, self.latest.milliseconds_until(now)), stop=stop)

    def across_sleep(self, now: Moment, asleep_ms: int) -> Account:
        """Carry on over a time of which the bench slept the last `asleep_ms`: that is a gap too, by the same rule."""
        return self.up_to(now)._taken_off(asleep_ms)._away(now, asleep_ms)

    def clock_stepped(self, step_ms: int, at: Moment) -> Account:
        """Where the wall clock was wrong when the bench started, the gap before that is as long as it really was."""
        if self.stop is None:
            return self
        if not self.stop.told_by_a_step(at):
            return replace(self, stop=None)
        stop = replace(self.stop, step_ms=self.stop.step_ms + step_ms)
        told = replace(self.spans[stop.place], milliseconds=max(0, stop.wall_ms))
        return replace(self, spans=(*self.spans[: stop.place], told, *self.spans[stop.place + 1 :]), stop=stop)

    def explained(self, was: GapAnswer) -> Account:
        """The same time with the last gap told to be work, or a hold without a named reason."""
        spans = list(self.all_spans())
        for place in range(len(spans) - 1, -1, -1):
            if _unexplained(spans[place]):
                spans[place] = replace(spans[place], label=replace(spans[place].label, kind=was))
                break
        return replace(self, spans=tuple(spans), running_ms=0)

    def gap_ms(self) -> int:
        """How long the last gap was that waits for its explanation; 0 where none does."""
        return next((span.milliseconds for span in reversed(self.all_spans()) if _unexplained(span)), 0)

    def taken_back_to(self, earlier: Account) -> Account:
        """After an undo: the time since `earlier` counts under its label.

        What was closed by then keeps its label of then, and time away is a gap again.
        """
        unsaid = replace(earlier.label, kind="gap", hold=None, snag=None, away=True)
        everything = self.all_spans()
        known = len(earlier.spans)
        before = (replace(now, label=then.label) for then, now in zip(earlier.spans, everything, strict=False))
        since = (replace(span, label=unsaid if span.label.away else earlier.label) for span in everything[known:])
        return replace(self, label=earlier.label, spans=(*before, *since), running_ms=0, ended=False)

    def _taken_off(self, milliseconds: int) -> Account:
        return replace(self, running_ms=self.running_ms - milliseconds)

    def _away(self, now: Moment, milliseconds: int) -> Account:
        """Put in a time away; one of no length too, for the wall clock may have been wrong about it."""
        kind: Literal["hold", "gap"] = "hold" if self.label.kind == "hold" else "gap"
        away = replace(self.label, kind=kind, snag=None, away=True)
        return replace(self, latest=now, running_ms=0, spans=(*self.all_spans(), Span(away, milliseconds)))


def _unexplained(span: Span) -> bool:
    return span.label.kind == "gap" and span.milliseconds > 0
