"""Phase times into a file of comma-separated values and back, for spreadsheets and for other benches."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

from sparehand.ground.errors import FailureError, InputError
from sparehand.log.connection import checkpoint, plain_errors
from sparehand.log.job_rows import rows_of
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.staged_times import Conflict, StagedTimes
from sparehand.log.time_columns import read_by_columns
from sparehand.log.time_rows import COLUMNS, CellError, read_row, seal_of, write_row
from sparehand.times.job_times import JobTimes

if TYPE_CHECKING:
    from _csv import Reader

ERRORS_NAMED = 100
"""How many bad rows are told one by one; the others are counted."""
_BATCH = 5_000


@dataclass(frozen=True)
class RowError:
    """A row that cannot be taken: its line in the file (from 1), the column, and why."""

    line: int
    column: str
    says: str

    def __str__(self) -> str:
        return f"line {self.line}, {self.column}: {self.says}"


@dataclass(frozen=True)
class ImportReport:
    """What became of a file: rows read, newly taken, there already; the bad ones counted, the first of them told."""

    rows: int
    taken: int
    known: int
    bad: int
    errors: tuple[RowError, ...]


def export_times(jobs: Iterable[JobTimes], path: Path) -> int:
    """Write the phase times of jobs, one row a phase, side and technician; gives the number of rows.

    Raises FailureError where the file cannot be written.
    """
    rows = [row for times in jobs if not times.left_out for row in rows_of(times)]
    try:
        with path.open("w", encoding="utf-8", newline="") as file:
            writer = csv.writer(file, lineterminator="\n")
            writer.writerow(COLUMNS)
            writer.writerows(write_row(row) for row in rows)
    except OSError as error:
        raise FailureError(f"{path} cannot be written ({error.strerror}); choose another place") from error
    return len(rows)


def import_times(
    path: Path,
    store: SqliteEventStore,
    skip_bad: bool = False,
    progress: Callable[[float], None] | None = None,
) -> ImportReport:
    """Take the phase times of a file into the store. `progress` is told the share of the file that was read.

    A row that is there already, alike in every column, counts once; one that differs is bad. Of a file with bad rows
    nothing is taken, unless `skip_bad`. A stop half-way leaves whole rows only; the same import again completes them.
    Raises InputError where it is no such file at all.
    """
    errors = _Errors()
    with plain_errors(store.path), store.engine.connect() as connection, _opened(path) as file:
        staged = StagedTimes(connection)
        try:
            rows = 0
            for lines, cells in _cells_read(path, file, errors, progress or _untold):
                batch = _read(lines, cells, errors)
                staged.add(batch)
                rows += len(batch)
            unread = errors.count
            for conflict in staged.judge():
                errors.add(RowError(conflict.line, conflict.column, _differs(conflict)))
            taken = staged.take() if skip_bad or not errors.count else 0
        finally:
            staged.clear()
    if taken:
        store.times.recount()
    with plain_errors(store.path):
        checkpoint(store.engine)
    return ImportReport(rows + unread, taken, staged.known, errors.count, tuple(errors.first))


def _untold(_share: float) -> None:
    """For a caller who does not ask for progress."""


class _Errors:
    """Counts the bad rows and keeps the first."""

    def __init__(self) -> None:
        self.count = 0
        self.first: list[RowError] = []

    def add(self, error: RowError) -> None:
        self.count += 1
        if len(self.first) < ERRORS_NAMED:
            self.first.append(error)


@contextmanager
def _opened(path: Path) -> Iterator[TextIO]:
    try:
        with path.open(encoding="utf-8-sig", newline="") as file:
            yield file
    except OSError as error:
        raise InputError(f"{path} cannot be read ({error.strerror}); give a file of phase times") from error
    except UnicodeDecodeError as error:
        raise InputError(f"{path} is no UTF-8 text; save it as UTF-8 and try again") from error


def _cells_read(
    path: Path, file: TextIO, errors: _Errors, progress: Callable[[float], None]
) -> Iterator[tuple[list[int], list[list[str]]]]:
    """The cells of the file, some thousand lines at once, with the lines; what cannot be split goes to `errors`."""
    size = max(1, path.stat().st_size)
    reader = csv.reader(file, strict=True)
    _require_header(path, _next_cells(reader, 1, errors) or [])
    lines: list[int] = []
    batch: list[list[str]] = []
    line = reader.line_num + 1
    while (cells := _next_cells(reader, line, errors)) is not None:
        if cells:
            lines.append(line)
            batch.append(cells)
        line = reader.line_num + 1
        if len(batch) == _BATCH:
            yield lines, batch
            lines, batch = [], []
            progress(file.buffer.tell() / size)
    yield lines, batch
    progress(1.0)


def _read(lines: Sequence[int], cells: Sequence[list[str]], errors: _Errors) -> list[tuple[object, ...]]:
    """The good rows as they are staged; the bad ones go to `errors`."""
    try:
        return list(read_by_columns(lines, cells)) if cells else []
    except (ValueError, CellError):
        pass
    rows: list[tuple[object, ...]] = []
    for line, some in zip(lines, cells, strict=True):
        try:
            row = read_row(some)
        except CellError as error:
            errors.add(RowError(line, error.column, error.says))
        else:
            rows.append((line, *(getattr(row, column) for column in COLUMNS), seal_of(row)))
    return rows


def _next_cells(reader: Reader, line: int, errors: _Errors) -> list[str] | None:
    try:
        return next(reader, None)
    except csv.Error as error:
        errors.add(RowError(line, COLUMNS[0], f"the line cannot be read: {error}"))
        return []


def _require_header(path: Path, header: list[str]) -> None:
    if header != list(COLUMNS):
        differing = next(
            (place for place, pair in enumerate(zip(COLUMNS, header, strict=False)) if pair[0] != pair[1]), None
        )
        place = min(len(header), len(COLUMNS)) if differing is None else differing
        wanted = f"'{COLUMNS[place]}' expected" if place < len(COLUMNS) else "nothing more expected"
        raise InputError(f"{path}, line 1, column {place + 1}: {wanted}; the first line must be: {','.join(COLUMNS)}")


def _differs(conflict: Conflict) -> str:
    return f"'{conflict.here}' differs from '{conflict.there}' of the same row or job in {conflict.where}"
