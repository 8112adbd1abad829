"""One phase time as a row of a table: how it is read from text, and written as text again."""

from __future__ import annotations

import re
import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from operator import attrgetter
from typing import Any, get_args

from sparehand.ground.bounds import NAME_CHARACTERS, SECONDS, WORDS_CHARACTERS, in_calendar
from sparehand.ground.plurals import how_many
from sparehand.job.events import Corrosion, Support
from sparehand.procedures.model import Side
from sparehand.times.job_times import PhaseTime, SnagTime

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

KEY_COLUMNS = ("job", "phase", "side", "technician")
"""What tells one phase time from another."""

JOB_COLUMNS = ("opened_at", "procedure", "operations", "corrosion", "support")
"""What every row of one job says alike."""

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
    values: dict[str, object] = {}
    for column, text in zip(COLUMNS, cells, strict=True):
        try:
            values[column] = _read_cell(column, text)
        except ValueError as error:
            raise CellError(column, f"'{text}' {error}") from error
    row = TimeRow(**values)  # type: ignore[arg-type]  # each reader gives its column's type
    require_inside_work(row.snags, row.work_seconds)
    return row


def require_inside_work(snags: str, work_seconds: float) -> None:
    """Raise CellError for snags that last longer than the work that they are part of."""
    snagged = sum(seconds for _, seconds in snag_parts(snags))
    if snagged > work_seconds + 0.0005:
        raise CellError("snags", f"last {snagged:g} s, longer than the work of {work_seconds:g} s they are part of")


@lru_cache(maxsize=65_536)
def _read_cell(column: str, text: str) -> object:
    """The value of a cell; most cells of many rows are alike."""
    return READERS[column](text)


def write_row(row: TimeRow) -> tuple[str, ...]:
    """The cells of a row, in the order of COLUMNS; `read_row` gives the same row again."""
    return tuple([_written(value) for value in _values_of(row)])


def admitted_row(row: TimeRow) -> TimeRow:
    """The row, if a file could hold it. Raises CellError for one that is out of bounds, whatever its values are."""
    return read_row(write_row(row))


def seal_of(row: TimeRow) -> int:
    """The checksum that shows whether a kept row is still what was written; the technician may be blanked."""
    return sealed(_values_of(row))


def sealed(values: Sequence[Any]) -> int:
    """The same of the values in the order of COLUMNS."""
    job, opened, procedure, operations, _, side, phase, work, held, snags, corrosion, support, complete = values
    numbers, done = (number_text(work), number_text(held)), "yes" if complete else "no"
    told = (job, opened, procedure, operations, side, phase, *numbers, snags, corrosion, support, done)
    return zlib.crc32("\x1f".join(told).encode())


def phase_time(row: TimeRow) -> PhaseTime:
    """The phase time of a row."""
    return PhaseTime.model_validate(
        {
            "phase": row.phase,
            "side": row.side or None,
            "technician": row.technician,
            "work_seconds": row.work_seconds,
            "held_seconds": row.held_seconds,
            "snags": snags_of(row),
            "complete": row.complete,
        }
    )


def snags_of(row: TimeRow) -> tuple[SnagTime, ...]:
    """The snags of a row."""
    return tuple(SnagTime(kind=kind, seconds=seconds) for kind, seconds in snag_parts(row.snags))


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


READERS: Mapping[str, Callable[[str], object]] = {
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
