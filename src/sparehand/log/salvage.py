"""Reading what can still be read of a damaged database, row by row, past pages that are gone."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sparehand.log.connection import copied
from sparehand.log.event_rows import StoredEvent
from sparehand.log.packed_jobs import PackedJob, from_values, seal_of
from sparehand.log.shown_names import seal_of_person
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.unpacked_rows import UNPACKED, jobs_of_rows
from sparehand.log.visit_records import VISIT_COLUMNS

_PAGE_BYTES = 4096
_GIVE_UP_AFTER = 5_000
"""How many rows in a row may be unreadable before the rest of a table is given up, where its end is not known."""


@dataclass(frozen=True)
class Salvage:
    """What could be read of a damaged log.

    Events stand with their job; records of visits with their seals.
    """

    events: tuple[tuple[str, StoredEvent], ...]
    jobs: frozenset[str]
    people: tuple[tuple[str, str | None], ...]
    times: tuple[PackedJob, ...]
    visits: tuple[dict[str, Any], ...]


def salvage(path: Path, scratch: Path) -> Salvage:
    """Read a copy of the database at `path`, made in the folder `scratch`; the original stays as it is."""
    copy = copied(path, scratch)
    if not _has_tables(copy):
        _graft_first_page(copy, scratch)
    with closing(_connect(copy)) as connection:
        events = _rows(connection, "events", "arrival", "job, sequence, body, chain")
        people = _rows(connection, "people", "rowid", "id, name, seal")
        jobs = _rows(connection, "jobs", "rowid", "job")
        visits = _rows(connection, "visit_records", "place", ", ".join(VISIT_COLUMNS))
        return Salvage(
            tuple((row[1], StoredEvent(*row[2:])) for row in events if _are(row[1:], str, int, str, bytes)),
            frozenset(row[1] for row in jobs if _are(row[1:], str)),
            tuple((row[1], row[2]) for row in people if row[3] == seal_of_person(str(row[1]), row[2])),
            tuple(_imported(connection)),
            tuple(dict(zip(VISIT_COLUMNS, row[1:], strict=True)) for row in visits),
        )


def _imported(connection: sqlite3.Connection) -> Iterator[PackedJob]:
    """The imported jobs that are what was written, in a log of this form or of an earlier one."""
    columns = (*PackedJob._fields, "imported", "seal")
    for _, *values in _rows(connection, "job_times", "place", ", ".join(columns)):
        *told, imported, seal = values
        job = from_values(told)
        if imported == 1 and seal == seal_of(job):
            yield job
    rows = (
        dict(zip(UNPACKED, values, strict=True))
        for _, *values in _rows(connection, "phase_times", "place", ", ".join(UNPACKED))
    )
    imported_rows = sorted((row for row in rows if row["imported"] == 1), key=lambda row: str(row["job"]))
    for _, *told, seal in jobs_of_rows(imported_rows):
        if seal >= 0:
            yield from_values(told[: len(PackedJob._fields)])


def _connect(path: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(path)
    connection.text_factory = lambda raw: raw.decode("utf-8", "replace")
    # Without it a file that was cut short is refused as a whole.
    connection.execute("PRAGMA writable_schema = ON")
    return connection


def _has_tables(path: Path) -> bool:
    with closing(_connect(path)) as connection:
        try:
            return connection.execute("SELECT 1 FROM sqlite_master WHERE name = 'events'").fetchone() is not None
        except sqlite3.DatabaseError:
            return False


def _graft_first_page(path: Path, scratch: Path) -> None:
    """Give a database whose first page is gone that of an empty one: the tables begin at the same pages in both.

    A table that came with a later schema than the first, after events had been recorded, may begin elsewhere and is
    then not found again.
    """
    empty = scratch / "empty.sqlite"
    SqliteEventStore(empty).close()
    first = bytearray(empty.read_bytes()[:_PAGE_BYTES])
    content = path.read_bytes()
    # Bytes 28 to 31 of the header: the number of pages. The list of free pages after it is left empty.
    first[28:32] = (max(1, len(content) // _PAGE_BYTES)).to_bytes(4, "big")
    path.write_bytes(bytes(first) + content[_PAGE_BYTES:])


def _rows(connection: sqlite3.Connection, table: str, key: str, columns: str) -> Iterator[tuple[Any, ...]]:
    """The readable rows of a table with their keys, in order of them."""
    last, start = 0, 1
    end = _end_of(connection, table, key)
    while start <= (last + _GIVE_UP_AFTER if end is None else end):
        try:
            query = f"SELECT {key}, {columns} FROM {table} WHERE {key} >= ? ORDER BY {key}"
            for row in connection.execute(query, (start,)):
                if not isinstance(row[0], int) or row[0] < start:
                    break
                yield row
                last, start = row[0], row[0] + 1
            else:
                return
        except sqlite3.DatabaseError:
            pass
        start += 1


def _end_of(connection: sqlite3.Connection, table: str, key: str) -> int | None:
    try:
        return int(connection.execute(f"SELECT ifnull(max({key}), 0) FROM {table}").fetchone()[0])
    except (sqlite3.DatabaseError, ValueError):
        return None


def _are(values: tuple[Any, ...], *kinds: Any) -> bool:
    return all(isinstance(value, kind) for value, kind in zip(values, kinds, strict=True))
