"""One phase time as a row of a table: how it is read from text, and written as text again."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from operator import attrgetter
from typing import get_args

from sparehand.ground.bounds import NAME_CHARACTERS, SECONDS, WORDS_CHARACTERS, in_calendar
from sparehand.ground.plurals import how_many
from sparehand.job.events import Corrosion, Support
from sparehand.procedures.model import Side

COLUMNS = (
    "job",
    "opened_at",
    "procedure",
    "operations",
    "technician",
    "side",
    "phase",
    "work_seconds",
    "held_seconds",
    "snags",
    "corrosion",
    "support",
    "complete",
)
"""The columns of a file of phase times, in their order."""

_NAME = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*", re.ASCII)
_SECONDS = re.compile(r"\d{1,11}(\.\d{1,9})?", re.ASCII)
_SNAG = re.compile(r"([a-z]+(?: [a-z]+)*):(.+)", re.ASCII)


@dataclass(frozen=True)
class TimeRow:
    """A phase time with what is known of its job. Lists are text with `;` between; seconds are whole milliseconds."""

    job: str
    opened_at: str
    procedure: str
    operations: str
    technician: str
    side: str
    phase: str
    work_seconds: float
    held_seconds: float
    snags: str
    corrosion: str
    support: str
    complete: bool


_values_of = attrgetter(*COLUMNS)


@dataclass(frozen=True)
class CellError(Exception):
    """A cell that cannot be taken."""

    column: str
    says: str


def read_row(cells: Sequence[str]) -> TimeRow:
    """The row of one line's cells. Raises CellError for the first that is wrong."""
    if len(cells) != len(COLUMNS):
        column = COLUMNS[min(len(cells), len(COLUMNS) - 1)]
        raise CellError(column, f"the line has {how_many(len(cells), 'column')}, not {len(COLUMNS)}")
    row = TimeRow(*map(read_cell, COLUMNS, cells))  # type: ignore[arg-type]  # each reader gives its column's type
    require_inside_work(row.snags, row.work_seconds)
    return row


def require_inside_work(snags: str, work_seconds: float) -> None:
    """Raise CellError for snags that last longer than the work that they are part of."""
    snagged = sum(seconds for _, seconds in snag_parts(snags))
    if snagged > work_seconds + 0.0005:
        raise CellError("snags", f"last {snagged:g} s, longer than the work of {work_seconds:g} s they are part of")


def read_cell(column: str, text: str) -> object:
    """The value of a cell. Raises CellError for one that is wrong."""
    try:
        return _READERS[column](text)
    except ValueError as error:
        raise CellError(column, f"'{text}' {error}") from error


def write_row(row: TimeRow) -> tuple[str, ...]:
    """The cells of a row, in the order of COLUMNS; `read_row` gives the same row again."""
    return tuple([_written(value) for value in _values_of(row)])


def snag_parts(snags: str) -> list[tuple[str, float]]:
    """The kinds and seconds of a row's list of snags."""
    parts = (part.rpartition(":") for part in snags.split(";") if part)
    return [(kind, float(seconds)) for kind, _, seconds in parts]


def _written(value: object) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, bool):
        return "yes" if value else "no"
    return number_text(value) if isinstance(value, float) else str(value)


@lru_cache(maxsize=100_000)
def number_text(seconds: float) -> str:
    """Seconds as they are written: to the millisecond, no zeros at the end."""
    return f"{seconds:.3f}".rstrip("0").rstrip(".")


def _a_text(text: str) -> str:
    if not text.strip() or len(text) > NAME_CHARACTERS or not text.isprintable():
        raise ValueError(f"is no name: give 1 to {NAME_CHARACTERS} printable characters")
    return text


def _a_moment(text: str) -> str:
    try:
        moment = datetime.fromisoformat(text)
    except ValueError as error:
        raise ValueError("is no ISO 8601 time with offset, such as 2026-11-25T08:30:00+01:00") from error
    if moment.tzinfo is None:
        raise ValueError("has no offset from UTC; write it as in 2026-11-25T08:30:00+01:00")
    return in_calendar(moment).isoformat()


def _an_id(text: str) -> str:
    if len(text) > 60 or not _NAME.fullmatch(text):
        raise ValueError("is no id: small letters, digits and hyphens, beginning with a letter")
    return text


def _ids(text: str) -> str:
    return ";".join(_an_id(part) for part in _some(text))


def _seconds(text: str) -> float:
    if not _SECONDS.fullmatch(text) or float(text) > SECONDS:
        raise ValueError(f"is no number of seconds from 0 to {SECONDS:,.0f}")
    return round(float(text), 3)


def _snags(text: str) -> str:
    return ";".join(_snag(part) for part in _some(text)) if text else ""


def _some(text: str) -> list[str]:
    if len(text) > WORDS_CHARACTERS:
        raise ValueError(f"is too long: {WORDS_CHARACTERS:,} characters at most")
    return text.split(";")


def _snag(text: str) -> str:
    match = _SNAG.fullmatch(text)
    if not match:
        raise ValueError("is no list of snags such as seized:420;broken:90")
    return f"{match[1]}:{_written(_seconds(match[2]))}"


def _one_of(*words: str) -> Callable[[str], str]:
    def read(text: str) -> str:
        if text not in words:
            raise ValueError(f"is not one of: {', '.join(word or '(empty)' for word in words)}")
        return text

    return read


_READERS: Mapping[str, Callable[[str], object]] = {
    "job": _a_text,
    "opened_at": _a_moment,
    "procedure": _an_id,
    "operations": _ids,
    "technician": _a_text,
    "side": _one_of("", *get_args(Side)),
    "phase": _an_id,
    "work_seconds": _seconds,
    "held_seconds": _seconds,
    "snags": _snags,
    "corrosion": _one_of(*get_args(Corrosion)),
    "support": _one_of(*get_args(Support)),
    "complete": lambda text: _one_of("yes", "no")(text) == "yes",
}
