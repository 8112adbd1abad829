"""Where everything of a glance stands on a terminal of a given size: rows of text, nothing painted yet.

What a person under a vehicle looks for comes first: the step, then its numbers as large as the place allows, then what
the tightening waits for. Answers have rows of their own below, so that no answer takes the numbers away; one that is
longer than these rows turns its pages. What is left over shows what comes and what is loose. Emphasis is bold or
reversed, so that it holds on light and dark and without colours.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from rich.cells import cell_len
from rich.text import Text

from sparehand.screens.digits import LEAST_ROWS
from sparehand.screens.glance_figures import figure_rows
from sparehand.screens.glance_view import Glance
from sparehand.screens.job_view import DARK_ON_LIGHT
from sparehand.screens.row_text import broken, ends, row, wrapped
from sparehand.screens.vehicle_plan import loose_words

LEAST_COLUMNS, LEAST_SCREEN_ROWS = 60, 18
_AREA_ROWS = 3
"""The rows below the task that a small screen keeps for what was heard, answered and asked."""
_BELOW_ROWS = 2
"""The row for typed words and the one for what is loose."""
_BAR_COLUMNS = 24


@dataclass(frozen=True)
class Size:
    """A terminal's size in cells."""

    columns: int
    rows: int


def prompt_row(size: Size) -> int:
    """The row (from 0) on which typed words stand; one row stays below it, so that Return does not scroll."""
    return max(0, size.rows - _BELOW_ROWS)


def laid_out(glance: Glance, answer: str, size: Size, page: int = 0) -> tuple[Text, ...]:
    """The glance as exactly `size.rows` rows of `size.columns` cells; `answer` is what was answered beyond it.

    An answer that is too long for its rows is shown a page at a time, the pages counted round by `page`.
    """
    columns = size.columns
    above = _above(glance, size)
    room = max(0, prompt_row(size) - len(above))
    messages = _messages(glance, answer, columns, room, page)
    context = list(_context(glance, answer, columns))[: room - len(messages)]
    blank = [row("", columns)] * (room - len(messages) - len(context))
    below = [row("›", columns), row(_loose(glance, columns), columns, "bold reverse")]
    rows = [*above, *messages, *context, *blank, *below]
    return tuple([*rows[: prompt_row(size)], *below][: size.rows])


def visible_text(glance: Glance, size: Size) -> str:
    """What stands on the screen in words whatever is answered, in one line."""
    rows = [*_above(glance, size), *_banner(glance, size.columns)]
    return " ".join(" ".join(one.plain for one in rows).split())


def pictured(picture: Sequence[str], size: Size) -> tuple[Text, ...]:
    """Rows of blocks in the middle of the screen, dark on light whatever the terminal's own colours are."""
    above = (size.rows - len(picture)) // 2
    rows = [*[""] * above, *picture, *[""] * size.rows][: size.rows]
    return tuple(Text(one.center(size.columns), DARK_ON_LIGHT, no_wrap=True) for one in rows)


def _above(glance: Glance, size: Size) -> list[Text]:
    """Where the job stands and what to do: everything above the rows for answers."""
    head = _head(glance, size.columns)
    return [*head, *_task(glance, size, size.rows - len(head) - _BELOW_ROWS)]


def _head(glance: Glance, columns: int) -> list[Text]:
    """The phase, the step and the listening sign; a long title wraps, and the sign goes behind its end."""
    lines = broken(", ".join(filter(None, (glance.place, glance.counted))), columns - 2)[:2] or [""]
    if cell_len(lines[-1]) + cell_len(glance.listening) > columns - 3:
        lines.append("")
    return [
        *(row(line, columns, "bold reverse") for line in lines[:-1]),
        ends(lines[-1], glance.listening, columns, "bold reverse"),
    ]


def _task(glance: Glance, size: Size, rows: int) -> list[Text]:
    """What to do, with its numbers; a warning stands in their place. `rows` are those of task and answers together."""
    columns, spare = size.columns, max(0, size.rows - LEAST_SCREEN_ROWS)
    if glance.warning:
        return wrapped(glance.warning, columns, rows - 2, "bold")
    area = _AREA_ROWS + min(4, spare // 2)
    gates = _gates(glance, columns)
    thing = wrapped(glance.fastener, columns, 2, "bold")
    step = wrapped(glance.step, columns, 2 + min(2, spare // 8), "bold")
    if not glance.figures:
        return [*step, *thing, *gates, *_list(glance, columns)][: max(0, rows - _AREA_ROWS)]
    room = rows - area - len(step) - len(thing) - len(gates)
    while room < LEAST_ROWS + 1 and (len(step) > 1 or area > 1):
        room += 1
        if len(step) > 1:
            step = wrapped(glance.step, columns, len(step) - 1, "bold")
        else:
            area -= 1
    return [*step, *thing, *figure_rows(glance.figures, columns, room), *gates]


def _gates(glance: Glance, columns: int) -> list[Text]:
    """What the tightening waits for; where it waits for nothing, what the step asks for beside its numbers."""
    asked = next(iter(glance.to_answer), "") if glance.figures else ""
    gate = glance.gate or asked
    style = "bold reverse" if gate.startswith("not yet") else "bold"
    return wrapped(gate, columns, 3 if glance.gate else 1, style)


def _list(glance: Glance, columns: int) -> list[Text]:
    """What to mind at a step without numbers, and what it asks for."""
    return [line for sentence in (*glance.cautions, *glance.to_answer) for line in wrapped(sentence, columns, 9)]


def _messages(glance: Glance, answer: str, columns: int, rows: int, page: int) -> list[Text]:
    """What was asked, heard and answered; what is too long for the rows page by page, with what was heard."""
    asked = _banner(glance, columns)
    said = [row(line, columns) for line in broken(answer, columns - 2)]
    heard = glance.heard.line if glance.heard else ""
    if len(asked) + 1 + len(said) <= rows:
        return [*asked, row(heard, columns), *said]
    room = max(1, rows - 1)
    told = [*asked, *said]
    pages = max(1, -(-len(told) // room))
    place = page % pages
    turned = told[place * room : (place + 1) * room]
    return [ends(heard, f"{place + 1} of {pages}", columns), *turned][-rows:] if rows else []


def _context(glance: Glance, answer: str, columns: int) -> Iterator[Text]:
    """What the empty rows are for: what else is asked for, the time, what comes next, what is loose, each said once."""
    beside = glance.to_answer if glance.figures else ()
    for sentence in beside if glance.gate else beside[1:]:
        yield from wrapped(sentence, columns, 2)
    yield _clock(glance, columns)
    for sentence in (*glance.coming, *glance.loose_by_side):
        if sentence not in answer:
            yield from wrapped(sentence, columns, 2)


def _clock(glance: Glance, columns: int) -> Text:
    """The time worked in the phase against what is expected, in words and as a bar where there is room for one."""
    told = " · ".join(filter(None, (glance.phase_clock, *glance.timers)))
    room = min(_BAR_COLUMNS, columns - 3 - cell_len(told))
    if glance.phase_share is None or room < _BAR_COLUMNS // 2:
        return row(told, columns)
    filled = round(room * min(1.0, glance.phase_share))
    return row(f"{told} {'■' * filled}{'·' * (room - filled)}", columns)


def _banner(glance: Glance, columns: int) -> list[Text]:
    """The one thing that changes what may be said or done now."""
    urgent = glance.question or glance.halted
    if urgent:
        return wrapped(urgent, columns, 99, "bold reverse")
    return wrapped(" ".join(glance.cautions), columns, 99) if glance.figures else []


def _loose(glance: Glance, columns: int) -> str:
    """What is loose by name; where that is too long, how much on which side."""
    if not glance.loose:
        return "nothing loose" if glance.begun else ""
    count = f"{sum(one.count for one in glance.loose_at)} LOOSE"
    told = f"{count}: {', '.join(glance.loose)}"
    return told if cell_len(told) <= columns - 2 else f"{count}: {loose_words(glance.loose_at)}"
