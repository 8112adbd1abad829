"""One phase time as a row of a table: how it is read from text, and written as text again."""

from __future__ import annotations

import re
import zlib
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import get_args

from sparehand.ground.bounds import NAME_CHARACTERS, SECONDS, WORDS_CHARACTERS, in_calendar, name_in_bounds
from sparehand.job.events import Corrosion, Support
from sparehand.procedures.model import Side
from sparehand.times.job_times import JobTimes, PhaseTime, SnagTime

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


@dataclass(frozen=True)
class CellError(Exception):
    """A cell that cannot be taken."""

    column: str
    says: str


def read_row(cells: Sequence[str]) -> TimeRow:
    """The row of one line's cells. Raises CellError for the first that is wrong."""
    if len(cells) != len(COLUMNS):
        column = COLUMNS[min(len(cells), len(COLUMNS) - 1)]
        raise CellError(column, f"the line has {len(cells)} columns, not {len(COLUMNS)}")
    values: dict[str, object] = {}
    for column, text in zip(COLUMNS, cells, strict=True):
        try:
            values[column] = _READERS[column](text)
        except ValueError as error:
            raise CellError(column, f"'{text}' {error}") from error
    row = TimeRow(**values)  # type: ignore[arg-type]  # each reader gives its column's type
    snagged = sum(snag.seconds for snag in snags_of(row))
    if snagged > row.work_seconds + 0.0005:
        raise CellError(
            "snags", f"last {snagged:g} seconds, longer than the work of {row.work_seconds:g} they are part of"
        )
    return row


def write_row(row: TimeRow) -> tuple[str, ...]:
    """The cells of a row, in the order of COLUMNS; `read_row` gives the same row again."""
    return tuple(_written(getattr(row, column)) for column in COLUMNS)


def admitted_row(row: TimeRow) -> TimeRow:
    """The row, if a file could hold it. Raises CellError for one that is out of bounds, whatever its values are."""
    return read_row(write_row(row))


def seal_of(row: TimeRow) -> int:
    """The checksum that shows whether a kept row is still what was written; the technician may be blanked."""
    told = "\x1f".join(_written(getattr(row, column)) for column in COLUMNS if column != "technician")
    return zlib.crc32(told.encode())


def rows_of(times: JobTimes) -> tuple[TimeRow, ...]:
    """The rows of a job: one a phase, side and technician, with phases that were opened again summed."""
    summed: dict[tuple[str, str, str], TimeRow] = {}
    for phase in times.phases:
        row = _row_of(times, phase)
        key = (row.phase, row.side, row.technician)
        summed[key] = _sum(summed[key], row) if key in summed else row
    return tuple(summed.values())


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
    parts = [part.rpartition(":") for part in row.snags.split(";") if part]
    return tuple(SnagTime(kind=kind, seconds=float(seconds)) for kind, _, seconds in parts)


def _row_of(times: JobTimes, phase: PhaseTime) -> TimeRow:
    return TimeRow(
        job=times.job,
        opened_at=times.opened_at.isoformat(),
        procedure=times.procedure,
        operations=";".join(times.operations),
        technician=name_in_bounds(phase.technician),
        side=phase.side or "",
        phase=phase.phase,
        work_seconds=min(SECONDS, round(phase.work_seconds, 3)),
        held_seconds=min(SECONDS, round(phase.held_seconds, 3)),
        snags=";".join(f"{snag.kind}:{_written(round(snag.seconds, 3))}" for snag in phase.snags),
        corrosion=times.corrosion,
        support=times.support,
        complete=phase.complete,
    )


def _sum(first: TimeRow, again: TimeRow) -> TimeRow:
    return replace(
        first,
        work_seconds=round(first.work_seconds + again.work_seconds, 3),
        held_seconds=round(first.held_seconds + again.held_seconds, 3),
        snags=";".join(filter(None, (first.snags, again.snags))),
        complete=again.complete,
    )


def _written(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.3f}".rstrip("0").rstrip(".")
    return str(value)


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
