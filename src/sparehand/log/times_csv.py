"""Phase times into a file of comma-separated values and back, for spreadsheets and for other benches."""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TextIO

from sparehand.ground.errors import FailureError, InputError
from sparehand.log.connection import checkpoint, plain_errors
from sparehand.log.job_rows import rows_of
from sparehand.log.jobs_in_file import RowError, TimesFile
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.staged_jobs import PlannedOf, StagedJobs
from sparehand.log.time_rows import COLUMNS, write_row
from sparehand.times.job_times import JobTimes

ERRORS_NAMED = 100
"""How many bad rows are told one by one; the others are counted."""


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
    planned_of: PlannedOf = lambda _: {},
) -> ImportReport:
    """Take the phase times of a file into the store. `progress` is told the share of the file that was read.

    Jobs that were clicked through, by the plans of `planned_of`, are taken but do not count.
    A row that is there already, alike in every column, counts once; one that differs is bad. Of a file with bad rows
    nothing is taken, unless `skip_bad`. A stop half-way leaves whole jobs only; the same import again completes them.
    Raises InputError where it is no such file at all.
    """
    errors = _Errors()
    with plain_errors(store.path), store.engine.connect() as connection, _opened(path) as file:
        staged = StagedJobs(connection, planned_of)
        try:
            for jobs in TimesFile(path, file, errors.add, progress or _untold).blocks():
                staged.add(jobs)
            rows = staged.rows + errors.count
            for error in staged.judge():
                errors.add(error)
            taken = staged.take() if skip_bad or not errors.count else 0
        finally:
            staged.clear()
    if taken:
        store.times.recount()
    with plain_errors(store.path):
        checkpoint(store.engine)
    return ImportReport(rows, taken, staged.known, errors.count, tuple(errors.first))


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
