"""Digits drawn from block characters, to be read from under a vehicle."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

LEAST_ROWS = 7

_GLYPHS = {
    "0": (".#.", "#.#", "#.#", "#.#", ".#."),
    "1": ("##.", ".#.", ".#.", ".#.", "###"),
    "2": ("###", "..#", "###", "#..", "###"),
    "3": ("###", "..#", ".##", "..#", "###"),
    "4": ("#.#", "#.#", "###", "..#", "..#"),
    "5": ("###", "#..", "###", "..#", "###"),
    "6": ("###", "#..", "###", "#.#", "###"),
    "7": ("###", "..#", "..#", ".#.", ".#."),
    "8": ("###", "#.#", "###", "#.#", "###"),
    "9": ("###", "#.#", "###", "..#", "###"),
    "-": ("...", "...", "###", "...", "..."),
    ".": (".", ".", ".", ".", "#"),
}
"""Five bands: three bars with two gaps between them; three columns: two strokes with an inside between them.

The nought is round, for with corners only its missing middle bar would tell it from an eight.
"""


@dataclass(frozen=True)
class DigitSize:
    """How large digits are drawn, in cells. A cell is about twice as high as it is wide."""

    rows: int
    stroke_columns: int
    inner_columns: int

    def columns_of(self, number: str) -> int:
        """The columns that a number takes; nothing stands before or after it."""
        return sum(sum(self._columns(sign)) for sign in number) + self._space * max(0, len(number) - 1)

    def draw(self, number: str) -> tuple[str, ...]:
        """The number as `rows` lines of equal length. Raises KeyError for anything but digits, point and minus."""
        return tuple(
            (" " * self._space).join(self._band(sign, band) for sign in number)
            for band, height in enumerate(self._bands())
            for _ in range(height)
        )

    @property
    def _space(self) -> int:
        return max(1, self.stroke_columns // 2)

    def _columns(self, sign: str) -> tuple[int, ...]:
        wide = (self.stroke_columns, self.inner_columns, self.stroke_columns)
        return wide if len(_GLYPHS[sign][0]) == 3 else (self.stroke_columns,)

    def _bands(self) -> tuple[int, ...]:
        bar = _bar_rows(self.rows)
        gaps = self.rows - 3 * bar
        return (bar, gaps - gaps // 2, bar, gaps // 2, bar)

    def _band(self, sign: str, band: int) -> str:
        cells = zip(_GLYPHS[sign][band], self._columns(sign), strict=True)
        return "".join(("█" if cell == "#" else " ") * columns for cell, columns in cells)


def largest(numbers: Sequence[str], rows: int, columns: int, between: int) -> DigitSize | None:
    """The largest size at which all numbers stand side by side within `rows` and `columns`, `between` columns apart.

    None where even the least size does not fit.
    """
    room = columns - between * max(0, len(numbers) - 1)
    for height in range(rows, LEAST_ROWS - 1, -1):
        stroke = max(2, round(2 * height / LEAST_ROWS))
        for inner in (stroke, max(1, stroke // 2)):
            size = DigitSize(height, stroke, inner)
            if sum(size.columns_of(number) for number in numbers) <= room:
                return size
    return None


def _bar_rows(rows: int) -> int:
    return max(1, round(rows / LEAST_ROWS))
