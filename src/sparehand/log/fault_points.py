"""The named points at which an append, or the keeping of a memo, can be cut off. Nothing listens but a harness."""

from __future__ import annotations

from typing import Literal, get_args

Point = Literal["before insert", "after insert", "before commit", "after commit", "after mark"]
MemoPoint = Literal["before memo", "memo not synced", "after memo"]

POINTS: tuple[Point, ...] = get_args(Point)
MEMO_POINTS: tuple[MemoPoint, ...] = get_args(MemoPoint)


class Watch:
    """Told of each point as it is reached."""

    def reached(self, point: Point | MemoPoint) -> None:
        """An append, or the keeping of a memo, is at `point`."""
