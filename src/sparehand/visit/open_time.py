"""Opening hours as a clock that runs only while the shop is open, and back to moments. Pure."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime, timedelta
from typing import Literal

import numpy as np

from sparehand.visit.attendance import Span

_DAY = timedelta(days=1)


class OpenTime:
    """Hours of opening counted from `at`; the spans repeat every 24 hours after the last, `most_hours` in all.

    Spans are pairs of moments with their zones, in order, without overlap, the last one ending after `at`.
    """

    def __init__(self, spans: Sequence[tuple[datetime, datetime]], at: datetime, most_hours: float) -> None:
        self._zone = at.tzinfo
        begins = at.astimezone(UTC)
        # Taken in UTC, so that a change to summer time in between neither adds an hour nor takes one.
        given = [(start.astimezone(UTC), end.astimezone(UTC)) for start, end in spans]
        ahead = [(max(start, begins), end) for start, end in given if begins < end]
        yesterday = given[-1][1] - _DAY
        last_day = [(max(start, yesterday), end) for start, end in given if end > yesterday]
        while sum((end - start for start, end in ahead), timedelta()) / timedelta(hours=1) < most_hours:
            last_day = [(start + _DAY, end + _DAY) for start, end in last_day]
            ahead.extend(last_day)
        lengths = [(end - start) / timedelta(hours=1) for start, end in ahead]
        self._opens = np.array([start.timestamp() for start, _ in ahead])
        self._hours = np.concatenate([[0.0], np.cumsum(lengths)])

    def hours_until(self, moment: datetime) -> float:
        """How many open hours lie between `at` and a moment; 0 for one before."""
        return self._hours_until(moment.timestamp())

    def spans_of(self, other: OpenTime) -> list[Span]:
        """The spans of another such clock on this one, those within its own open hours."""
        ends = other._opens + 3600 * np.diff(other._hours)
        return [(self._hours_until(a), self._hours_until(b)) for a, b in zip(other._opens, ends, strict=True)]

    def _hours_until(self, seconds: float) -> float:
        place = int(np.searchsorted(self._opens, seconds, side="right")) - 1
        if place < 0:
            return 0.0
        within = (seconds - self._opens[place]) / 3600
        return float(min(self._hours[place] + within, self._hours[place + 1]))

    def moment_after(self, hours: float, *, to_begin: bool = False) -> datetime:
        """When so many open hours have passed: the end of a span, or `to_begin` work, the beginning of the next."""
        side: Literal["left", "right"] = "right" if to_begin else "left"
        place = int(np.clip(np.searchsorted(self._hours, hours, side=side) - 1, 0, len(self._opens) - 1))
        seconds = self._opens[place] + (hours - self._hours[place]) * 3600
        return datetime.fromtimestamp(float(seconds), self._zone)
