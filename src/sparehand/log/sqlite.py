"""The event store of a bench: SQLite, durable on return, each event chained to the one before it."""

from __future__ import annotations

import shutil
import sqlite3
import tempfile
import weakref
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from pathlib import Path

from sqlalchemy import Connection, Engine, select
from sqlalchemy.exc import DBAPIError

from sparehand.ground.errors import FailureError
from sparehand.ground.plurals import how_many
from sparehand.job.events import Recorded
from sparehand.log.claim import claim
from sparehand.log.connection import checkpoint, connect, copied, plain_errors, reading, writing
from sparehand.log.event_rows import (
    check_stored,
    insert_stored,
    last_stored,
    stored_events,
    stored_headers,
    to_stored,
    update_header,
)
from sparehand.log.fault_points import Watch
from sparehand.log.headers import require_in_order
from sparehand.log.marks import Mark, Marks
from sparehand.log.migrations import MIGRATIONS, migrate, schema_version
from sparehand.log.people import People
from sparehand.log.store import DamagedLogError, JobHeader, OutOfStepError, match_job
from sparehand.log.tables import JOBS
from sparehand.log.time_store import TimeStore
from sparehand.log.wire import chain_start, from_wire

BUSY_MS = 5_000
"""How long to wait for another program that holds the database."""


class SqliteEventStore:
    """An event store in one file, with its high-water marks and claims in folders beside it.

    `times` are the phase times in the same file.

    Raises FailureError or InputError, one line each, for what cannot be opened: a folder that cannot be written, a
    locked database, one of a newer version or another program's.
    """

    def __init__(
        self, path: Path, *, read_only: bool = False, busy_ms: int = BUSY_MS, watch: Watch | None = None
    ) -> None:
        self.path = path
        self.marks = Marks(path.with_suffix(".marks"))
        self._watch = watch or Watch()
        # Reading a log that is not there yet shows an empty one and makes none.
        file = None if read_only and not path.exists() else path
        with plain_errors(path):
            if not read_only:
                path.parent.mkdir(parents=True, exist_ok=True)
            self.engine = connect(file, read_only=file is not None and read_only, busy_ms=busy_ms)
            if read_only and file:
                self._read(file, busy_ms)
            else:
                migrate(self.engine, file, MIGRATIONS)
        self._file = _identity(path)
        self.times = TimeStore(self.engine, path)
        # Whoever is at it, or a folder that cannot be written: then the next one does it.
        with suppress(FailureError):
            if self.marks.intended() is not None:
                SqliteEventStore(path, busy_ms=busy_ms).close() if read_only else self._mark_what_is_there()

    def _read(self, path: Path, busy_ms: int) -> None:
        """Make ready to read only. Where the folder cannot be written, or its disk is full, read a copy elsewhere."""
        try:
            if _is_older(self.engine, path):
                SqliteEventStore(path, busy_ms=busy_ms).close()
            migrate(self.engine, path, MIGRATIONS)
        except (DBAPIError, FailureError) as error:
            if not _wants_to_write(error):
                raise
            scratch = Path(tempfile.mkdtemp(prefix="sparehand-reading-"))
            weakref.finalize(self, shutil.rmtree, scratch, ignore_errors=True)
            self.engine.dispose()
            self.engine = connect(copied(path, scratch), read_only=False, busy_ms=busy_ms)
            migrate(self.engine, scratch / path.name, MIGRATIONS)

    def append(self, job: str, expected_sequence: int, recorded: Sequence[Recorded]) -> None:
        """See EventStore."""
        require_in_order(job, expected_sequence, recorded)
        self._require_place()
        with plain_errors(self.path):
            with writing(self.engine) as connection:
                chain = self._insert(connection, job, expected_sequence, recorded)
                self._watch.reached("after insert")
                update_header(connection, job, recorded, People(connection).id_of)
                self._watch.reached("before commit")
            self._watch.reached("after commit")
            self._require_place()
            self.marks.write(job, Mark(recorded[-1].sequence, chain))
            self._watch.reached("after mark")

    def events(self, job: str, upto: int | None = None) -> tuple[Recorded, ...]:
        """See EventStore."""
        mark = self.marks.read(job)
        with plain_errors(self.path), reading(self.engine) as connection:
            rows = stored_events(connection, job)
            people = People(connection)
            check_stored(job, rows, mark)
            wanted = rows if upto is None else rows[: upto + 1]
            return tuple(from_wire(row.body, people.name_of) for row in wanted)

    def jobs(self) -> tuple[JobHeader, ...]:
        """See EventStore."""
        marked = self.marks.jobs()
        with plain_errors(self.path), reading(self.engine) as connection:
            headers = stored_headers(connection)
            vanished = sorted(marked - {header.id for header in headers})
        if vanished:
            raise DamagedLogError(
                f"{self.path} has lost {how_many(len(vanished), 'job')} ({', '.join(vanished[:3])}): an old copy put "
                "back, or damage; see `sparehand log verify`, then `sparehand log rescue`"
            )
        return headers

    def find_job(self, text: str) -> str:
        """See EventStore."""
        with plain_errors(self.path), reading(self.engine) as connection:
            known = connection.scalars(select(JOBS.c.job).order_by(JOBS.c.opened_at, JOBS.c.job)).all()
        return match_job(text, known)

    @contextmanager
    def claim(self, job: str) -> Iterator[None]:
        """See EventStore."""
        with claim(self.path.with_suffix(".claims"), job, f"job {job} is open in another window"):
            yield

    @contextmanager
    def claim_bench(self) -> Iterator[None]:
        """The bench of this log for this process alone while the context lasts, whatever job it works on.

        Raises FailureError where another process has it.
        """
        with claim(self.path.with_suffix(".claims"), "bench", "this bench runs in another window already"):
            yield

    def forget_person(self, name: str) -> int:
        """See EventStore."""
        with plain_errors(self.path), writing(self.engine) as connection:
            blanked = People(connection).forget(name)
        with plain_errors(self.path):
            checkpoint(self.engine)
        return blanked

    def close(self) -> None:
        """See EventStore."""
        self.engine.dispose()

    def _require_place(self) -> None:
        """A file that is deleted or exchanged goes on taking what is written, and nobody ever finds it again."""
        if self._file is not None and _identity(self.path) != self._file:
            raise FailureError(
                f"{self.path} was deleted, moved or exchanged while this program uses it: nothing is recorded; "
                "end it, put the folder back from a backup, and look at the vehicle"
            )

    def _mark_what_is_there(self) -> None:
        """Make good the marks that a kill kept from being written, as far as their events were committed."""
        with plain_errors(self.path), writing(self.engine) as connection:
            intended = self.marks.intended() or {}
            there = {job: {one.sequence: one.chain for one in stored_events(connection, job)} for job in intended}
            self.marks.replace(
                {job: mark for job, mark in intended.items() if there[job].get(mark.sequence) == mark.chain}
            )

    def _insert(self, connection: Connection, job: str, first: int, recorded: Sequence[Recorded]) -> bytes:
        last = last_stored(connection, job)
        stands_at = last.sequence + 1 if last else 0
        if stands_at != first:
            raise OutOfStepError(f"job {job} stands at event {stands_at}, not {first}; resume it")
        people = People(connection)
        kept = to_stored(recorded, last.chain if last else chain_start(job), people.id_of)
        self._watch.reached("before insert")
        insert_stored(connection, job, kept)
        return kept[-1].chain


def _identity(path: Path) -> tuple[int, int] | None:
    """What tells the file at a path from another one that comes there; None where there is none."""
    try:
        found = path.stat()
    except OSError:
        return None
    return found.st_dev, found.st_ino


def _wants_to_write(error: BaseException) -> bool:
    """Whether SQLite could not make the files beside a database that it needs to read it."""
    cause = error.__cause__ if isinstance(error, FailureError) else error
    code = getattr(getattr(cause, "orig", cause), "sqlite_errorcode", 0) & 0xFF
    return code in (sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_READONLY, sqlite3.SQLITE_IOERR, sqlite3.SQLITE_FULL)


def _is_older(engine: Engine, path: Path) -> bool:
    with engine.connect() as connection:
        return schema_version(connection, path) < len(MIGRATIONS)
