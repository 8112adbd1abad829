"""A plan of the vehicle from above, with how much is loose at which corner: an own drawing, on page and card."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sparehand.job.fasteners import pieces_of
from sparehand.job.state import JobState
from sparehand.procedures.model import Axle, Side

_PLACES: dict[tuple[Axle | None, Side | None], tuple[int, int, str]] = {
    (None, "front"): (34, 74, "end"),
    (None, "rear"): (206, 74, "start"),
    (None, "left"): (120, 142, "middle"),
    (None, "right"): (120, 16, "middle"),
    (None, None): (129, 75, "middle"),
    ("front", "left"): (114, 142, "end"),
    ("front", "right"): (114, 16, "end"),
    ("rear", "left"): (126, 142, "start"),
    ("rear", "right"): (126, 16, "start"),
}
"""Where the words of a corner or a side stand (the vehicle looks to the left), and how they are set."""
_WHEELS: dict[tuple[Axle, Side], tuple[int, int]] = {
    ("front", "right"): (66, 22),
    ("front", "left"): (66, 108),
    ("rear", "right"): (154, 22),
    ("rear", "left"): (154, 108),
}
_BODY = (
    "M52 38 Q42 70 52 102 Q56 108 66 108 L180 108 Q194 106 194 92 L194 48 Q194 34 180 32 L66 32 Q56 32 52 38 Z"
    " M88 42 L100 50 L100 90 L88 98 Q82 70 88 42 Z M168 44 L158 50 L158 90 L168 96 Z M100 50 L158 50 M100 90 L158 90"
)
_FILL = ' fill="currentColor"'


@dataclass(frozen=True)
class LooseAt:
    """How many pieces of the loose list are at a corner, on a side where no axle is given, or on none (None)."""

    axle: Axle | None
    side: Side | None
    count: int

    @property
    def words(self) -> str:
        """Where and how many: "front left 4"."""
        return f"{' '.join(filter(None, (self.axle, self.side))) or 'no side'} {self.count}"


def loose_at(state: JobState) -> tuple[LooseAt, ...]:
    """The loose list counted: every side of the job, and what has no side where there is any."""
    sides = (*state.plan.sides, None)
    counted = [(side, pieces_of(entry for entry in state.loose if entry.key.side == side)) for side in sides]
    axle = state.plan.procedure.axle
    return tuple(LooseAt(axle if side else None, side, count) for side, count in counted if side or count)


def loose_words(counts: Sequence[LooseAt]) -> str:
    """The counts in words: "front left 4, front right 2"."""
    return ", ".join(one.words for one in counts if one.count)


def vehicle_plan(counts: Sequence[LooseAt]) -> str:
    """The plan as SVG, of fixed words and whole numbers alone.

    The wheel of each corner where something is loose is filled; sides that the job is not about are left blank.
    """
    filled = {corner for one in counts if one.count for corner in _corners(one)}
    wheels = "".join(
        f'<rect x="{x}" y="{y}" width="24" height="10" rx="3"{_FILL if corner in filled else ""}/>'
        for corner, (x, y) in _WHEELS.items()
    )
    labels = "".join(_label(one) for one in counts)
    return (
        f'<svg viewBox="0 0 240 150" role="img" aria-label="Loose: {loose_words(counts) or "nothing"}">'
        f'<g fill="none" stroke="currentColor" stroke-width="2"><path d="{_BODY}"/>{wheels}</g>'
        f'<g fill="currentColor" font-size="15" font-weight="700">{labels}</g></svg>'
    )


def _corners(one: LooseAt) -> Iterator[tuple[Axle, Side]]:
    """The corners that are meant: one of an axle's, both of an end; none where left or right has no axle."""
    for axle, side in _WHEELS:
        if (one.axle, one.side) == (axle, side) or one.side == axle:
            yield axle, side


def _label(one: LooseAt) -> str:
    x, y, anchor = _PLACES[one.axle, one.side]
    words = one.words if one.side else f"{one.count}"
    return f'<text x="{x}" y="{y}" text-anchor="{anchor}">{words}</text>'
