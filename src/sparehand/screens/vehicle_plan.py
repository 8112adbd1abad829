"""A plan of the vehicle from above, with how much is loose on which side: an own drawing, the same on page and card."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sparehand.job.state import JobState
from sparehand.procedures.model import Side

_PLACES: dict[Side, tuple[int, int, str]] = {
    "front": (34, 74, "end"),
    "rear": (206, 74, "start"),
    "left": (120, 142, "middle"),
    "right": (120, 16, "middle"),
}
"""Where the words of a side stand (the vehicle looks to the left), and how they are set."""
_WHEELS = tuple((x, y) for x in (66, 154) for y in (22, 108))
_BODY = (
    "M52 38 Q42 70 52 102 Q56 108 66 108 L180 108 Q194 106 194 92 L194 48 Q194 34 180 32 L66 32 Q56 32 52 38 Z"
    " M88 42 L100 50 L100 90 L88 98 Q82 70 88 42 Z M168 44 L158 50 L158 90 L168 96 Z M100 50 L158 50 M100 90 L158 90"
)


@dataclass(frozen=True)
class LooseAt:
    """How many entries of the loose list are on a side; None is what has no side."""

    side: Side | None
    count: int


def loose_at(state: JobState) -> tuple[LooseAt, ...]:
    """The loose list counted: every side of the job, and what has no side where there is any."""
    counts = [LooseAt(side, sum(entry.key.side == side for entry in state.loose)) for side in (*state.plan.sides, None)]
    return tuple(one for one in counts if one.side or one.count)


def loose_words(counts: Sequence[LooseAt]) -> str:
    """The counts in words: "left 4, right 2"."""
    return ", ".join(f"{one.side or 'no side'} {one.count}" for one in counts)


def vehicle_plan(counts: Sequence[LooseAt]) -> str:
    """The plan as SVG, of fixed words and whole numbers alone; sides that the job is not about are left blank."""
    wheels = "".join(f'<rect x="{x}" y="{y}" width="24" height="10" rx="3"/>' for x, y in _WHEELS)
    labels = "".join(_label(one) for one in counts)
    return (
        f'<svg viewBox="0 0 240 150" role="img" aria-label="Loose: {loose_words(counts) or "nothing"}">'
        f'<g fill="none" stroke="currentColor" stroke-width="2"><path d="{_BODY}"/>{wheels}</g>'
        f'<g fill="currentColor" font-size="15" font-weight="700">{labels}</g></svg>'
    )


def _label(one: LooseAt) -> str:
    x, y, anchor = _PLACES[one.side] if one.side else (129, 75, "middle")
    words = f"{one.side} {one.count}" if one.side else f"{one.count}"
    return f'<text x="{x}" y="{y}" text-anchor="{anchor}">{words}</text>'
