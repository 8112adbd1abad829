"""The numbers of a glance as rows of blocks: torque or angle with its unit as large beside it, then the sizes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.cells import cell_len, set_cell_size
from rich.text import Text

from sparehand.screens.digits import DigitSize, drawable, largest
from sparehand.screens.figures import Figure
from sparehand.screens.row_text import row, wrapped

BETWEEN = 3
"""The least columns between two numbers."""


@dataclass(frozen=True)
class _Fitting:
    """How many of the numbers are drawn, at what size, and the unit that is drawn beside the first."""

    size: DigitSize
    count: int
    unit: str


def figure_rows(figures: Sequence[Figure], columns: int, rows: int) -> list[Text]:
    """The numbers within `rows`: what they are stands below them, and those that do not fit follow in words."""
    fitting = _fitting(figures, columns - 2, rows - 1)
    if fitting is None:
        return wrapped(", ".join(map(_in_words, figures)), columns, rows, "bold")
    drawn, left_over = figures[: fitting.count], figures[fitting.count :]
    pictures = [fitting.size.draw(figure.digits) for figure in drawn]
    if fitting.unit:
        unit = fitting.size.of_unit.draw(fitting.unit)
        pictures[0] = tuple(" ".join(pair) for pair in zip(pictures[0], unit, strict=True))
    free = columns - 2 - sum(len(lines[0]) for lines in pictures)
    gap = min(BETWEEN * fitting.size.stroke_columns // 2, free // max(1, len(drawn) - 1))
    lines = [row("│".center(gap).join(lines), columns) for lines in zip(*pictures, strict=True)]
    return [*lines, row(_meanings(drawn, pictures, gap, columns), columns), *_rest(left_over, columns)]


def _fitting(figures: Sequence[Figure], columns: int, rows: int) -> _Fitting | None:
    """All numbers with the first one's unit; else the sizes in words; else no large unit."""
    unit = figures[0].unit if drawable(figures[0].unit) else ""
    counts = range(len(figures), 0, -1)
    for wanted, count in [*((unit, count) for count in counts if unit), *(("", count) for count in counts)]:
        room = rows - (count < len(figures))
        size = largest([figure.digits for figure in figures[:count]], room, columns, BETWEEN, wanted)
        if size is not None:
            return _Fitting(size, count, wanted)
    return None


def _meanings(figures: Sequence[Figure], pictures: Sequence[Sequence[str]], gap: int, columns: int) -> str:
    """What the numbers are, each below its own; where one is too long for that, side by side."""
    told = [_meaning(figure) for figure in figures]
    below = "".join(
        set_cell_size(one, max(cell_len(one) + 1, len(lines[0]) + gap))
        for one, lines in zip(told, pictures, strict=True)
    )
    fits = all(cell_len(one) < len(lines[0]) + gap for one, lines in zip(told[:-1], pictures, strict=False))
    return below.rstrip() if fits and cell_len(below.rstrip()) <= columns - 2 else " │ ".join(told)


def _rest(figures: Sequence[Figure], columns: int) -> list[Text]:
    return wrapped(", ".join(map(_in_words, figures)), columns, 1, "bold") if figures else []


def _meaning(figure: Figure) -> str:
    return f"{figure.unit} {figure.of}".strip()


def _in_words(figure: Figure) -> str:
    return f"{figure.of} {figure.digits} {figure.unit}".strip()
