"""Spans of calendar time that grow with age: short ones for last week, long ones for years ago.

The line of time is cut into units; a span is 1, 2, 4, ... units long and starts at a multiple of its length. Which
spans there are depends only on the latest unit, never on the order in which jobs arrive, and as time goes on spans only
merge. So sums kept by span stay few and can always be brought up to date.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

UNIT_SECONDS = 21_600
"""Six hours."""
UNITS_A_DAY = 86_400 / UNIT_SECONDS
FINENESS = 4
"""A span is at most a fourth as long as it is old."""


@dataclass(frozen=True, order=True)
class TimeCell:
    """A span of time: its first unit, counted from the epoch, and its length in units."""

    start: int
    length: int = 1

    @property
    def middle(self) -> float:
        """The middle of the span, in units."""
        return self.start + self.length / 2

    def at(self, latest: int) -> TimeCell:
        """The span that this one belongs to when `latest` is the newest unit."""
        start, length = self.start, self.length
        while True:
            parent = start - start % (2 * length)
            if latest + 1 - (parent + 2 * length) < FINENESS * 2 * length:
                return TimeCell(start, length)
            start, length = parent, 2 * length


def unit_of(moment: datetime) -> int:
    """The unit in which a moment lies."""
    return int(moment.timestamp() // UNIT_SECONDS)
