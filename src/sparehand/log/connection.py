"""Opening SQLite so that a commit is on the disk, and saying in one line what it cannot do."""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Engine, Select, create_engine, event, func, select
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import QueuePool, StaticPool

from sparehand.ground.errors import FailureError, InputError, SparehandError
from sparehand.log.durable import open_for_owner
from sparehand.log.store import DamagedLogError

_SAYS = {
    sqlite3.SQLITE_BUSY: "{path} is locked by another program; end that one and try again",
    sqlite3.SQLITE_LOCKED: "{path} is locked by another program; end that one and try again",
    sqlite3.SQLITE_FULL: "no room left on the disk of {path}: nothing was recorded; free some and say it again",
    sqlite3.SQLITE_IOERR: "the disk of {path} refuses: nothing was recorded; see that it has room and is not failing",
    sqlite3.SQLITE_READONLY: "{path} cannot be written; give its folder write permission, or another one with --data",
    sqlite3.SQLITE_CANTOPEN: "{path} cannot be opened; give its folder write permission, or another one with --data",
}
_SAYS_DAMAGED = "{path} is damaged; see `sparehand log verify`, then `sparehand log rescue`"


def connect(path: Path | None, *, read_only: bool, busy_ms: int) -> Engine:
    """An engine on the database at `path` (made if missing), or on one in memory where that is None."""

    def open_file() -> sqlite3.Connection:
        if path is not None and not read_only:
            os.close(open_for_owner(path, os.O_RDWR | os.O_CREAT))
        where = ":memory:" if path is None else f"{path.resolve().as_uri()}?mode={'ro' if read_only else 'rwc'}"
        return sqlite3.connect(
            where, uri=path is not None, timeout=busy_ms / 1000, isolation_level=None, check_same_thread=False
        )

    engine = create_engine("sqlite://", creator=open_file, poolclass=StaticPool if path is None else QueuePool)
    event.listen(engine, "connect", _prepare_read_only if read_only else _prepare)
    event.listen(engine, "begin", _begin)
    return engine


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """One transaction that holds the write lock from its start, so that what it read still holds when it writes."""
    with engine.connect().execution_options(immediate=True) as connection, connection.begin():
        yield connection


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """One transaction that sees the database as it stands at its start."""
    with engine.connect() as connection, connection.begin():
        yield connection


def among(texts: Iterable[str]) -> Select[tuple[str]]:
    """Texts as a query, for `column.in_`: one value however many they are, where SQLite's own lists are bounded."""
    return select(func.json_each(json.dumps(list(texts))).table_valued("value").c.value)


def checkpoint(engine: Engine) -> None:
    """Move what was committed from the write-ahead file into the database, for what no high-water mark watches over.

    Another program that reads at that time keeps the write-ahead file from being emptied.
    """
    with closing(engine.raw_connection()) as outside_of_transactions:
        outside_of_transactions.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")


def copied(path: Path, folder: Path) -> Path:
    """A copy of a database in another folder, with what is still in its write-ahead file."""
    for ending in ("", "-wal"):
        source = path.with_name(path.name + ending)
        if source.exists():
            shutil.copyfile(source, folder / source.name)
    return folder / path.name


@contextmanager
def plain_errors(path: Path | None) -> Iterator[None]:
    """Turn what the driver raises into one line for the user, chained to its cause."""
    try:
        yield
    except DBAPIError as error:
        raise _plain(error.orig, path) from error
    except UnicodeDecodeError as error:
        raise DamagedLogError(_SAYS_DAMAGED.format(path=path)) from error
    except (sqlite3.Error, OSError) as error:
        raise _plain(error, path) from error


def _plain(cause: BaseException | None, path: Path | None) -> SparehandError:
    code = getattr(cause, "sqlite_errorcode", 0) & 0xFF
    if code == sqlite3.SQLITE_NOTADB:
        return InputError(
            f"{path} is no database, or its beginning is damaged; choose another data folder with --data, "
            "or try `sparehand log rescue`"
        )
    # The driver gives no code for a text that is none any more.
    if code == sqlite3.SQLITE_CORRUPT or (code == 0 and "Could not decode" in str(cause)):
        return DamagedLogError(_SAYS_DAMAGED.format(path=path))
    if code in _SAYS:
        return FailureError(_SAYS[code].format(path=path))
    return FailureError(f"{path}: {cause}; see `sparehand selfcheck`")


def _prepare(connection: Any, _record: object) -> None:
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = FULL")
    connection.execute("PRAGMA fullfsync = ON")
    connection.execute("PRAGMA checkpoint_fullfsync = ON")
    connection.execute("PRAGMA foreign_keys = ON")
    connection.execute("PRAGMA trusted_schema = OFF")
    # A name or a vehicle that was blanked shall not be found in the file's free space.
    connection.execute("PRAGMA secure_delete = ON")


def _prepare_read_only(connection: Any, _record: object) -> None:
    connection.execute("PRAGMA query_only = ON")


def _begin(connection: Connection) -> None:
    immediate = connection.get_execution_options().get("immediate", False)
    connection.exec_driver_sql("BEGIN IMMEDIATE" if immediate else "BEGIN")
