"""Bringing a database up to this version: on opening, in one transaction, with a copy made first."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, TypeAlias, cast

from sparehand.ground.errors import FailureError, InputError
from sparehand.log.durable import put_durably, sync_folder

if TYPE_CHECKING:
    from sqlalchemy import Connection, Engine

APPLICATION_ID = 0x53504844
"""Says in the file's header that the database is Sparehand's ("SPHD")."""

Step: TypeAlias = "str | Callable[[Connection], None]"


def _pack_rows(connection: Connection) -> None:
    from sparehand.log.unpacked_rows import pack_rows  # here, for the list of jobs does without

    pack_rows(connection)


MIGRATIONS: tuple[tuple[Step, ...], ...] = (
    (
        """CREATE TABLE events (
            arrival INTEGER NOT NULL PRIMARY KEY,
            job TEXT NOT NULL,
            sequence INTEGER NOT NULL,
            id TEXT NOT NULL UNIQUE,
            body TEXT NOT NULL,
            chain BLOB NOT NULL,
            UNIQUE (job, sequence))""",
        """CREATE TABLE jobs (
            job TEXT NOT NULL PRIMARY KEY,
            procedure TEXT NOT NULL,
            opened_at TEXT NOT NULL,
            technician TEXT NOT NULL,
            vehicle TEXT NOT NULL,
            closed_batch INTEGER)""",
        "CREATE TABLE people (id TEXT NOT NULL PRIMARY KEY, name TEXT, seal INTEGER NOT NULL)",
        "CREATE INDEX ix_people_name ON people (name)",
    ),
    (
        """CREATE TABLE phase_times (
            place INTEGER NOT NULL PRIMARY KEY,
            job TEXT NOT NULL,
            phase TEXT NOT NULL,
            side TEXT NOT NULL,
            technician TEXT NOT NULL,
            opened_at TEXT NOT NULL,
            procedure TEXT NOT NULL,
            operations TEXT NOT NULL,
            work_seconds REAL NOT NULL,
            held_seconds REAL NOT NULL,
            snags TEXT NOT NULL,
            corrosion TEXT NOT NULL,
            support TEXT NOT NULL,
            complete INTEGER NOT NULL,
            rework INTEGER NOT NULL,
            imported INTEGER NOT NULL,
            seal INTEGER NOT NULL,
            UNIQUE (job, phase, side, technician))""",
        "CREATE INDEX ix_phase_times_procedure ON phase_times (procedure)",
    ),
    (
        """CREATE TABLE tallies (
            procedure TEXT NOT NULL PRIMARY KEY,
            revision INTEGER NOT NULL,
            body TEXT,
            seal INTEGER NOT NULL)""",
        "INSERT INTO tallies (procedure, revision, seal) SELECT DISTINCT procedure, 0, 0 FROM phase_times",
    ),
    (
        """CREATE TABLE visit_records (
            place INTEGER NOT NULL PRIMARY KEY,
            kind TEXT NOT NULL,
            subject TEXT NOT NULL,
            at TEXT NOT NULL,
            person TEXT NOT NULL,
            body TEXT NOT NULL,
            private TEXT,
            seal INTEGER NOT NULL)""",
        "CREATE INDEX ix_visit_records_kind ON visit_records (kind)",
    ),
    ("ALTER TABLE phase_times ADD COLUMN left_out TEXT", "UPDATE tallies SET body = NULL, seal = 0"),
    ("ALTER TABLE people ADD COLUMN forgotten TEXT",),
    (
        """CREATE TABLE job_times (
            place INTEGER PRIMARY KEY AUTOINCREMENT,
            job TEXT NOT NULL UNIQUE,
            opened_at TEXT NOT NULL,
            procedure TEXT NOT NULL,
            operations TEXT NOT NULL,
            corrosion TEXT NOT NULL,
            support TEXT NOT NULL,
            phases TEXT NOT NULL,
            seconds TEXT NOT NULL,
            rework INTEGER NOT NULL,
            imported INTEGER NOT NULL,
            left_out TEXT,
            opened INTEGER NOT NULL,
            seal INTEGER NOT NULL)""",
        "CREATE INDEX ix_job_times_opened ON job_times (procedure, opened, job)",
        _pack_rows,
        "DROP TABLE phase_times",
    ),
    ("ALTER TABLE tallies ADD COLUMN judged_by TEXT",),
)
"""The statements and steps that lead from each schema version to the next; a version once released is never changed."""


def migrate(engine: Engine, path: Path | None, migrations: Sequence[Sequence[Step]] = MIGRATIONS) -> None:
    """Bring the database to the version of `migrations`; `path` is its file, None for one in memory.

    Raises InputError for a file that is another program's, FailureError for one of a newer version.
    """
    with engine.connect() as connection:
        version = schema_version(connection, path)
        if 0 < version < len(migrations) and path is not None:
            _copy(connection, path.with_name(f"{path.stem}.schema-{version}{path.suffix}"))
    require_known(version, len(migrations), path)
    if version == len(migrations):
        return
    with engine.connect().execution_options(immediate=True) as connection, connection.begin():
        for statements in migrations[schema_version(connection, path) :]:
            for statement in statements:
                if isinstance(statement, str):
                    connection.exec_driver_sql(statement)
                else:
                    statement(connection)
        connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION_ID}")
        connection.exec_driver_sql(f"PRAGMA user_version = {len(migrations)}")
    if path is not None:
        sync_folder(path.parent)


def require_known(version: int, known: int, path: Path | None) -> None:
    """Raise FailureError for a database that a newer Sparehand wrote."""
    if version > known:
        raise FailureError(
            f"{path} was written by a newer Sparehand (schema {version}, this one knows {known}); update Sparehand"
        )


def schema_version(connection: Connection, path: Path | None) -> int:
    """The schema version of a database, 0 for a new one. Raises InputError for one that is another program's."""
    version = int(connection.exec_driver_sql("PRAGMA user_version").scalar_one())
    owner = int(connection.exec_driver_sql("PRAGMA application_id").scalar_one())
    tables = int(connection.exec_driver_sql("SELECT count(*) FROM sqlite_master").scalar_one())
    if owner != APPLICATION_ID and (owner or version or tables):
        raise InputError(f"{path} is another program's database; choose another data folder with --data")
    return version


def _copy(connection: Connection, target: Path) -> None:
    """A whole copy of the database, made once a version: the first one is the untouched one."""
    if target.exists():
        return
    half = target.with_name(target.name + ".part")
    half.unlink(missing_ok=True)
    source = cast(sqlite3.Connection, connection.connection.driver_connection)
    copy = sqlite3.connect(half)
    try:
        source.backup(copy)
    finally:
        copy.close()
    put_durably(half, target)
