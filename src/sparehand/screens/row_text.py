"""Text on the rows of a painted screen: wrapped, clipped and filled up to the edge."""

from __future__ import annotations

from collections.abc import Iterator

from rich.cells import cell_len, set_cell_size
from rich.text import Text

from sparehand.ground.terminal import printable


def row(text: str, columns: int, style: str = "") -> Text:
    """One row with a margin of one cell at each side."""
    inside = set_cell_size(clipped(printable(text), columns - 2), max(0, columns - 2))
    return Text(set_cell_size(f" {inside} ", columns), style, no_wrap=True)


def ends(left: str, right: str, columns: int, style: str = "") -> Text:
    """A row with one thing at each end; the right one is always whole."""
    room = columns - 3 - cell_len(right)
    return row(f"{set_cell_size(clipped(left, room), max(0, room))} {right}", columns, style)


def wrapped(text: str, columns: int, rows: int, style: str = "") -> list[Text]:
    """`text` on as many rows as it needs, `rows` at most; what does not fit ends in an ellipsis."""
    lines = broken(text, columns - 2)
    if len(lines) > rows and rows > 0:
        lines = [*lines[: rows - 1], clipped(" ".join(lines[rows - 1 :]), columns - 2)]
    return [row(line, columns, style) for line in lines[: max(0, rows)]]


def broken(text: str, columns: int) -> list[str]:
    """`text` in lines of at most `columns` cells, broken at spaces, and inside a word only where it is longer."""
    lines: list[str] = []
    for word in _pieces(printable(text), max(1, columns)):
        if lines and cell_len(lines[-1]) + 1 + cell_len(word) <= columns:
            lines[-1] += f" {word}"
        else:
            lines.append(word)
    return lines


def clipped(text: str, columns: int) -> str:
    """As much of `text` as fits, with an ellipsis where something is missing."""
    if cell_len(text) <= columns:
        return text
    return f"{set_cell_size(text, max(0, columns - 1)).rstrip()}…"


def _pieces(text: str, columns: int) -> Iterator[str]:
    """The words of `text`; one that is wider than a line in parts."""
    step = max(1, columns // 2)
    for word in text.split():
        if cell_len(word) <= columns:
            yield word
        else:
            yield from (word[at : at + step] for at in range(0, len(word), step))
