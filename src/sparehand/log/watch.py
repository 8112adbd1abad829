"""The named points at which an append can be cut off, so that a harness can do so. Nothing listens otherwise."""

from __future__ import annotations

from typing import Literal, get_args

Point = Literal["before insert", "after insert", "before commit", "after commit", "after mark"]

POINTS: tuple[Point, ...] = get_args(Point)


class Watch:
    """Told of each point as it is reached."""

    def reached(self, point: Point) -> None:
        """An append is at `point`."""
