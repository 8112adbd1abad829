"""Where the time of a job goes: every millisecond under exactly one label. A fold, like the rest of the state."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Literal

from sparehand.clock import Moment
from sparehand.job.events import GapAnswer, HoldReason, SnagKind
from sparehand.procedures.plan import PhaseKey


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
class Ledger:
    """Closed spans, and the one that runs. The sum of all milliseconds is the time from the opening to `latest`."""

    label: Label
    latest: Moment
    running_ms: int = 0
    spans: tuple[Span, ...] = field(default=())
    ended: bool = False

    def up_to(self, now: Moment) -> Ledger:
        """The same ledger with the running span carried on to `now`."""
        if self.ended:
            return self
        return replace(self, latest=now, running_ms=self.running_ms + self.latest.milliseconds_until(now))

    def under(self, label: Label) -> Ledger:
        """Close the running span and go on under `label`."""
        if label == self.label:
            return self
        return replace(self, label=label, running_ms=0, spans=self.all_spans())

    def end(self) -> Ledger:
        """Close the running span for good."""
        return replace(self, running_ms=0, spans=self.all_spans(), ended=True)

    def all_spans(self) -> tuple[Span, ...]:
        """Every span, the running one last."""
        return (*self.spans, Span(self.label, self.running_ms)) if self.running_ms else self.spans

    def across_stop(self, now: Moment) -> Ledger:
        """Carry on over a time when the bench was not running: a gap, unless a hold was said before it."""
        kind: Literal["hold", "gap"] = "hold" if self.label.kind == "hold" else "gap"
        away = replace(self.label, kind=kind, snag=None, away=True)
        return self.under(away).up_to(now).under(self.label)

    def explained(self, was: GapAnswer) -> Ledger:
        """The same time with the last gap told to be work, or a hold without a named reason."""
        spans = list(self.all_spans())
        for place in range(len(spans) - 1, -1, -1):
            if spans[place].label.kind == "gap":
                spans[place] = replace(spans[place], label=replace(spans[place].label, kind=was))
                break
        return replace(self, spans=tuple(spans), running_ms=0)

    def has_gap(self) -> bool:
        """Whether a gap waits for its explanation."""
        return any(span.label.kind == "gap" for span in self.spans)

    def taken_back_to(self, earlier: Ledger) -> Ledger:
        """After an undo: the time since `earlier` counts under the label of then; time away is a gap again."""
        unsaid = replace(earlier.label, kind="gap", hold=None, snag=None, away=True)
        since = self.all_spans()[len(earlier.spans) :]
        told = tuple(replace(span, label=unsaid if span.label.away else earlier.label) for span in since)
        return replace(self, label=earlier.label, spans=earlier.spans + told, running_ms=0, ended=False)


def milliseconds(spans: tuple[Span, ...], kind: Literal["work", "hold", "gap"] | None = None) -> int:
    """The total of the spans of one kind, or of all."""
    return sum(span.milliseconds for span in spans if kind is None or span.label.kind == kind)
