"""Phase times into a Parquet file, for analysts whose tools read columns."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from sparehand.ground.errors import FailureError, InputError
from sparehand.log.job_rows import rows_of
from sparehand.log.time_rows import COLUMNS, TimeRow
from sparehand.times.job_times import JobTimes

if TYPE_CHECKING:
    import pyarrow

ROWS_AT_ONCE = 50_000
"""One row group: all that is in memory at once."""

_NUMBERS = ("work_seconds", "held_seconds")


def export_times_parquet(jobs: Iterable[JobTimes], path: Path) -> int:
    """Write the phase times of jobs, one row a phase, side and technician; gives the number of rows.

    The columns are those of the CSV file. `opened_at` is a moment in UTC, seconds are doubles, `complete` is a boolean,
    the rest is text, stored once a value. Raises InputError where the library for it is missing, FailureError where the
    file cannot be written.
    """
    try:
        import pyarrow
        from pyarrow import parquet
    except ImportError as error:
        raise InputError(
            "a Parquet file needs a library that is not there: pip install 'sparehand[parquet]'; or export to .csv"
        ) from error
    schema = pyarrow.schema([(column, _type_of(pyarrow, column)) for column in COLUMNS])
    count = 0
    try:
        with parquet.ParquetWriter(path, schema, compression="zstd") as writer:
            for rows in _some((row for times in jobs if not times.left_out for row in rows_of(times)), ROWS_AT_ONCE):
                columns = {column: [_value(row, column) for row in rows] for column in COLUMNS}
                writer.write_table(pyarrow.table(columns, schema))
                count += len(rows)
    except OSError as error:
        raise FailureError(f"{path} cannot be written ({error.strerror or error}); choose another place") from error
    return count


def _type_of(pyarrow: Any, column: str) -> pyarrow.DataType:
    if column == "opened_at":
        return pyarrow.timestamp("us", tz="UTC")
    if column in _NUMBERS:
        return pyarrow.float64()
    return pyarrow.bool_() if column == "complete" else pyarrow.string()


def _value(row: TimeRow, column: str) -> object:
    value = getattr(row, column)
    return datetime.fromisoformat(value).astimezone(UTC) if column == "opened_at" else value


def _some(rows: Iterable[TimeRow], size: int) -> Iterator[list[TimeRow]]:
    group: list[TimeRow] = []
    for row in rows:
        group.append(row)
        if len(group) == size:
            yield group
            group = []
    if group:
        yield group
