"""Where everything of a glance stands on a terminal of a given size: rows of text, nothing painted yet.

What a person under a vehicle looks for comes first: the step, then its numbers as large as the place allows, then what
the tightening waits for. Emphasis is bold or reversed, so that it holds on light and dark and without colours.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.cells import cell_len, set_cell_size
from rich.text import Text

from sparehand.ground.terminal import printable
from sparehand.screens.digits import LEAST_ROWS, largest
from sparehand.screens.figures import Figure
from sparehand.screens.glance_view import Glance
from sparehand.screens.job_view import DARK_ON_LIGHT

LEAST_COLUMNS, LEAST_SCREEN_ROWS = 60, 18
_BETWEEN_FIGURES = 3
_FIXED_ROWS = LEAST_SCREEN_ROWS - LEAST_ROWS - 2
"""The rows that are neither the step's nor the digits'."""


@dataclass(frozen=True)
class Size:
    """A terminal's size in cells."""

    columns: int
    rows: int


@dataclass(frozen=True)
class _Shares:
    """How many rows go to the parts that grow."""

    step: int
    digits: int
    answer: int


def prompt_row(size: Size) -> int:
    """The row (from 0) on which typed words stand; one row stays below it, so that Return does not scroll."""
    return max(0, size.rows - 2)


def laid_out(glance: Glance, answer: str, size: Size) -> tuple[Text, ...]:
    """The glance as exactly `size.rows` rows of `size.columns` cells; `answer` is what was answered beyond it."""
    shares = _shares(size)
    columns = size.columns
    answer_room = max(1, shares.answer)
    beside = _said(glance, answer) if not shares.answer else answer
    in_full = len(_broken(beside, columns - 2)) > answer_room and bool(answer)
    brief = "" if in_full or shares.answer else answer
    rows = [
        _ends(f"{glance.place}, {glance.counted}" if glance.counted else glance.place, glance.listening, columns),
        *_task(glance, answer if in_full else "", columns, shares),
        _row(_banner(glance), columns, "bold reverse" if glance.question or glance.halted else ""),
        _row(" · ".join((glance.phase_clock, *glance.timers)), columns),
        _row(_said(glance, brief), columns),
        *_wrapped("" if in_full else answer, columns, shares.answer),
        _row("›", columns),
        _row(_loose(glance), columns, "bold reverse"),
    ]
    return tuple(rows[: size.rows])


def pictured(picture: Sequence[str], size: Size) -> tuple[Text, ...]:
    """Rows of blocks in the middle of the screen, dark on light whatever the terminal's own colours are."""
    above = (size.rows - len(picture)) // 2
    rows = [*[""] * above, *picture, *[""] * size.rows][: size.rows]
    return tuple(Text(row.center(size.columns), DARK_ON_LIGHT, no_wrap=True) for row in rows)


def _task(glance: Glance, answer: str, columns: int, shares: _Shares) -> list[Text]:
    """What to do, with its numbers. A warning stands in their place, and a long answer for a while in the numbers'."""
    rows = shares.digits + 3
    if glance.warning:
        return _wrapped(glance.warning, columns, shares.step + rows, "bold")
    below = _wrapped(answer, columns, rows) if answer else _middle(glance, columns, shares)
    return [*_wrapped(glance.step, columns, shares.step, "bold"), *below]


def _shares(size: Size) -> _Shares:
    spare = max(0, size.rows - LEAST_SCREEN_ROWS)
    answer = min(4, spare // 2)
    step = 2 + min(2, (spare - answer) // 4)
    return _Shares(step, max(LEAST_ROWS, size.rows - _FIXED_ROWS - step - answer), answer)


def _middle(glance: Glance, columns: int, shares: _Shares) -> list[Text]:
    """The fastener, its digits, what they are and the gate; without a fastener what is still to be answered."""
    rows = shares.digits + 3
    if not glance.fastener and not glance.figures:
        return _list(glance, columns, rows)
    gates = _gates(glance, columns)
    room = rows - 1 - len(gates)
    numbers = _figures(glance.figures, columns, room) if glance.figures else _list(glance, columns, room)
    return [_row(glance.fastener, columns, "bold"), *numbers, *gates]


def _gates(glance: Glance, columns: int) -> list[Text]:
    """What the tightening waits for; where it waits for nothing, what the step asks for beside it."""
    gate = glance.gate or next(iter(glance.to_answer), "")
    if glance.gate and cell_len(gate) > columns - 2:
        return _wrapped(gate, columns, 3, "bold")
    return [_row(gate, columns, "bold reverse" if gate.startswith("not yet") else "bold")]


def _figures(figures: tuple[Figure, ...], columns: int, rows: int) -> list[Text]:
    """The digits side by side, as large as they fit, with unit and meaning below each."""
    size = largest([figure.digits for figure in figures], rows - 1, columns - 2, _BETWEEN_FIGURES)
    if size is None:
        written = ", ".join(f"{figure.of} {figure.digits} {figure.unit}" for figure in figures)
        return _wrapped(written, columns, rows, "bold")
    drawn = [size.draw(figure.digits) for figure in figures]
    free = columns - 2 - sum(len(lines[0]) for lines in drawn)
    gap = min(_BETWEEN_FIGURES * size.stroke_columns // 2, free // max(1, len(figures) - 1))
    above = (rows - 1 - size.rows) // 2
    lines = [_row(_divider(gap).join(lines), columns) for lines in zip(*drawn, strict=True)]
    widths = [len(lines[0]) + gap for lines in drawn]
    meanings = [
        set_cell_size(_clipped(_meaning(figure), width - 1), width)
        for figure, width in zip(figures, widths, strict=True)
    ]
    meaning = "".join(meanings[:-1]) + _meaning(figures[-1])
    blank = _row("", columns)
    return [*[blank] * above, *lines, _row(meaning, columns), *[blank] * (rows - 1 - size.rows - above)]


def _divider(gap: int) -> str:
    """What stands between two numbers, so that nobody reads them as one."""
    return "│".center(gap) if gap >= _BETWEEN_FIGURES else " " * gap


def _meaning(figure: Figure) -> str:
    return f"{figure.unit} {figure.of}".strip()


def _list(glance: Glance, columns: int, rows: int) -> list[Text]:
    """What the step still asks for, or what comes after it."""
    lines: list[Text] = []
    for sentence in (*glance.cautions, *glance.to_answer, glance.after):
        lines += _wrapped(sentence, columns, rows) if sentence else []
    filled = [line for line in lines if line.plain.strip()]
    return [*filled, *[_row("", columns)] * rows][:rows]


def _banner(glance: Glance) -> str:
    """The one thing that changes what may be said or done now."""
    return glance.question or glance.halted or (" ".join(glance.cautions) if glance.figures else "")


def _said(glance: Glance, answer: str) -> str:
    heard = f"heard {glance.heard.sentence}" if glance.heard else ""
    return ". ".join(part for part in (heard, answer) if part)


def _loose(glance: Glance) -> str:
    if not glance.loose:
        return "nothing loose" if glance.begun else ""
    return f"{len(glance.loose)} LOOSE: {', '.join(glance.loose)}"


def _wrapped(text: str, columns: int, rows: int, style: str = "") -> list[Text]:
    """`text` on exactly `rows` rows; what does not fit ends in an ellipsis."""
    lines = _broken(text, columns - 2)
    if len(lines) > rows and rows:
        lines = [*lines[: rows - 1], _clipped(" ".join(lines[rows - 1 :]), columns - 2)]
    return [_row(line, columns, style) for line in (*lines, *[""] * rows)][:rows]


def _broken(text: str, columns: int) -> list[str]:
    lines = [""]
    for word in text.split():
        if lines[-1] and cell_len(lines[-1]) + 1 + cell_len(word) > columns:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def _ends(left: str, right: str, columns: int) -> Text:
    """A bar with one thing at each end; the right one is always whole."""
    room = columns - 3 - cell_len(right)
    return _row(f"{set_cell_size(_clipped(left, room), max(0, room))} {right}", columns, "bold reverse")


def _row(text: str, columns: int, style: str = "") -> Text:
    """One row with a margin of one cell at each side."""
    inside = set_cell_size(_clipped(printable(text), columns - 2), max(0, columns - 2))
    return Text(set_cell_size(f" {inside} ", columns), style, no_wrap=True)


def _clipped(text: str, columns: int) -> str:
    if cell_len(text) <= columns:
        return text
    return f"{set_cell_size(text, max(0, columns - 1)).rstrip()}…"
