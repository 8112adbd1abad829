"""Digits and units drawn from block characters, to be read from under a vehicle."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
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
    "·": (".", ".", "#", ".", "."),
    "°": ("###", "#.#", "###", "...", "..."),
    "N": ("#..#", "##.#", "#.##", "#..#", "#..#"),
    "m": (".....", ".....", "#####", "#.#.#", "#.#.#"),
    "l": ("#", "#", "#", "#", "#"),
    "b": ("#..", "#..", "###", "#.#", "###"),
    "f": (".##", ".#.", "###", ".#.", ".#."),
    "t": (".#.", ".#.", "###", ".#.", ".##"),
    "i": ("#", ".", "#", "#", "#"),
    "n": ("...", "...", "###", "#.#", "#.#"),
    "k": ("#..", "#.#", "##.", "#.#", "#.#"),
    "g": (".##", "#..", "#.#", "#.#", ".##"),
}
"""Five bands: three bars with two gaps between them; columns: strokes at the edges, insides between them.

The nought is round, for with corners only its missing middle bar would tell it from an eight.
"""

_WIDTHS: Mapping[int, Callable[[int, int], tuple[int, ...]]] = {
    1: lambda stroke, _inner: (stroke,),
    3: lambda stroke, inner: (stroke, inner, stroke),
    4: lambda stroke, inner: (stroke, inner, inner, stroke),
    5: lambda stroke, inner: (stroke, inner, stroke, inner, stroke),
}


def drawable(text: str) -> bool:
    """Whether every sign of a text can be drawn."""
    return bool(text) and all(sign in _GLYPHS for sign in text)


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
        """The number as `rows` lines of equal length. Raises KeyError for what is not `drawable`."""
        return tuple(
            (" " * self._space).join(self._band(sign, band) for sign in number)
            for band, height in enumerate(self._bands())
            for _ in range(height)
        )

    @property
    def of_unit(self) -> DigitSize:
        """The size of a unit beside a number of this size: as high, in thinner strokes."""
        return DigitSize(self.rows, max(1, self.stroke_columns // 2), max(1, self.inner_columns // 2))

    @property
    def _space(self) -> int:
        return max(1, self.stroke_columns // 2)

    def _columns(self, sign: str) -> tuple[int, ...]:
        stroke, inner = self.stroke_columns, self.inner_columns
        return _WIDTHS[len(_GLYPHS[sign][0])](stroke, inner)

    def _bands(self) -> tuple[int, ...]:
        bar = _bar_rows(self.rows)
        gaps = self.rows - 3 * bar
        return (bar, gaps - gaps // 2, bar, gaps // 2, bar)

    def _band(self, sign: str, band: int) -> str:
        cells = zip(_GLYPHS[sign][band], self._columns(sign), strict=True)
        return "".join(("█" if cell == "#" else " ") * columns for cell, columns in cells)


def largest(numbers: Sequence[str], rows: int, columns: int, between: int, unit: str = "") -> DigitSize | None:
    """The largest size at which all numbers stand side by side within `rows` and `columns`, `between` columns apart.

    `unit` stands one column behind the first of them. None where even the least size does not fit.
    """
    room = columns - between * max(0, len(numbers) - 1) - (1 if unit else 0)
    for height in range(rows, LEAST_ROWS - 1, -1):
        stroke = max(2, round(2 * height / LEAST_ROWS))
        for inner in (stroke, max(1, stroke // 2)):
            size = DigitSize(height, stroke, inner)
            if sum(map(size.columns_of, numbers)) + size.of_unit.columns_of(unit) <= room:
                return size
    return None


def _bar_rows(rows: int) -> int:
    return max(1, round(rows / LEAST_ROWS))
