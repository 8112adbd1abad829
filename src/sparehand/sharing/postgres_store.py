"""An event store in the shared database: the same rules as a bench's own log, for one bench of one shop."""

from __future__ import annotations

import secrets
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager

from sqlalchemy import Connection

from sparehand.ground.errors import FailureError
from sparehand.ground.ids import new_person_id
from sparehand.job.events import Recorded
from sparehand.log.event_rows import KeptEvent, check_kept, to_kept
from sparehand.log.headers import FORGOTTEN, header_of, require_in_order
from sparehand.log.store import JobHeader, OutOfStepError, match_job
from sparehand.log.wire import chain_start, from_wire
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.parcel import Parcel, Place, SentEvent, SentJob, month_of
from sparehand.sharing.staging import put, stage
from sparehand.sharing.text_encoding import read_name, written_name

_HEADERS = """
SELECT j.name, e.body FROM sparehand.jobs j JOIN sparehand.events e USING (shop, month, job)
WHERE j.bench = %s AND e.kind IN ('job opened', 'job closed', 'undone') ORDER BY j.name, e.sequence
"""

_OF_JOB = "SELECT sequence, body, chain FROM sparehand.events WHERE month = %s AND job = %s"


class PostgresEventStore:
    """Events go straight into the shared database. A bench at work does not use it: it must not wait for a network."""

    def __init__(self, database: SharedDatabase, bench: str) -> None:
        self._database = database
        self._bench = bench
        self._installation = secrets.token_hex(6)
        self._pushes = 0
        self._claimed: set[str] = set()

    def append(self, job: str, expected_sequence: int, recorded: Sequence[Recorded]) -> None:
        """See EventStore."""
        require_in_order(job, expected_sequence, recorded)
        month = month_of(recorded[0].at.wall)
        if expected_sequence == 0:
            with self._database.transaction() as connection:
                connection.exec_driver_sql("SELECT sparehand.open_month(%s)", (month,))
        with self._database.transaction() as connection:
            connection.exec_driver_sql("SELECT pg_advisory_xact_lock(hashtext(%s))", (f"{self._bench}/{job}",))
            sent = self._job(connection, job)
            last = _last(connection, sent) if sent else None
            stands_at = last.sequence + 1 if last else 0
            if stands_at != expected_sequence:
                raise OutOfStepError(f"job {job} stands at event {stands_at}, not {expected_sequence}; resume it")
            sent = sent or SentJob(recorded[0].id, month, job)
            events = _sent_events(connection, sent, recorded, last.chain if last else chain_start(job))
            stage(connection, Parcel((sent,), events, (), (), Place()))
            put(connection, self._values(connection))

    def events(self, job: str, upto: int | None = None) -> tuple[Recorded, ...]:
        """See EventStore."""
        with self._database.transaction() as connection:
            sent = self._job(connection, job)
            kept = _kept(connection, sent) if sent else ()
            check_kept(job, kept, None)
            names = _names(connection)
        wanted = kept if upto is None else kept[: upto + 1]
        return tuple(from_wire(one.body, names) for one in wanted)

    def jobs(self) -> tuple[JobHeader, ...]:
        """See EventStore."""
        histories: dict[str, list[Recorded]] = {}
        with self._database.transaction() as connection:
            names = _names(connection)
            for name, body in connection.exec_driver_sql(_HEADERS, (self._bench,)):
                histories.setdefault(name, []).append(from_wire(body, names))
        headers = [header_of(history) for history in histories.values()]
        return tuple(sorted(headers, key=lambda header: (header.opened_at, header.id)))

    def find_job(self, text: str) -> str:
        """See EventStore."""
        return match_job(text, (header.id for header in self.jobs()))

    @contextmanager
    def claim(self, job: str) -> Iterator[None]:
        """See EventStore. The claim falls with this process's connection."""
        name = f"claim {self._bench}/{job}"
        if job in self._claimed:
            # Such a lock tells connections apart, not two claims of one.
            raise FailureError(f"job {job} is open in another window; go on there, or end that first")
        with self._database.transaction() as connection:
            shop = _shop(connection)
            got = connection.exec_driver_sql(
                "SELECT pg_try_advisory_lock(hashtext(%s), 1)", (f"{shop} {name}",)
            ).scalar()
        if not got:
            raise FailureError(f"job {job} is open in another window; go on there, or end that first")
        self._claimed.add(job)
        try:
            yield
        finally:
            self._claimed.discard(job)
            with self._database.transaction() as connection:
                connection.exec_driver_sql("SELECT pg_advisory_unlock(hashtext(%s), 1)", (f"{shop} {name}",))

    def forget_person(self, name: str) -> int:
        """See EventStore; only a login that was admitted to forget may do it."""
        return forget_in_shop(self._database, (name,))

    def close(self) -> None:
        """See EventStore."""
        self._database.close()

    def _job(self, connection: Connection, job: str) -> SentJob | None:
        found = connection.exec_driver_sql(
            "SELECT job, month FROM sparehand.jobs WHERE name = %s AND bench = %s", (job, self._bench)
        ).first()
        return SentJob(found.job, found.month, job) if found else None

    def _values(self, connection: Connection) -> dict[str, object]:
        self._pushes += 1
        return {
            "shop": _shop(connection),
            "bench": self._bench,
            "installation": self._installation,
            "number": self._pushes,
        }


def forget_in_shop(database: SharedDatabase, names: Sequence[str]) -> int:
    """Blank names in the shared database, in the shop of this login; gives how many people had them.

    Raises InputError where this login may not.
    """
    with database.transaction() as connection:
        return connection.exec_driver_sql(
            "UPDATE sparehand.people SET name = NULL WHERE name = ANY(%s)", ([written_name(name) for name in names],)
        ).rowcount


def _last(connection: Connection, job: SentJob) -> KeptEvent | None:
    row = connection.exec_driver_sql(f"{_OF_JOB} ORDER BY sequence DESC LIMIT 1", (job.month, job.job)).first()
    return KeptEvent(row.sequence, row.body, row.chain) if row else None


def _kept(connection: Connection, job: SentJob) -> tuple[KeptEvent, ...]:
    rows = connection.exec_driver_sql(f"{_OF_JOB} ORDER BY sequence", (job.month, job.job))
    return tuple(KeptEvent(row.sequence, row.body, row.chain) for row in rows)


def _sent_events(
    connection: Connection, job: SentJob, recorded: Sequence[Recorded], before: bytes
) -> tuple[SentEvent, ...]:
    events = []
    kept = to_kept(recorded, before, _ids(connection))
    for one, kind in zip(kept, (each.event.kind for each in recorded), strict=True):
        events.append(SentEvent(job.job, job.month, one.sequence, kind, one.body, one.chain, before, False))
        before = one.chain
    return tuple(events)


def _ids(connection: Connection) -> Callable[[str], str]:
    def id_of(name: str) -> str:
        if not name:
            return ""
        known = connection.exec_driver_sql(
            "SELECT person FROM sparehand.people WHERE name = %s", (written_name(name),)
        ).scalar()
        if known is None:
            known = new_person_id()
            connection.exec_driver_sql(
                "INSERT INTO sparehand.people VALUES (%s, %s, %s)", (_shop(connection), known, written_name(name))
            )
        return str(known)

    return id_of


def _names(connection: Connection) -> Callable[[str], str]:
    rows = connection.exec_driver_sql("SELECT person, name FROM sparehand.people")
    known = {row.person: read_name(row.name) for row in rows if row.name is not None}
    return lambda person: person and (known.get(person) or f"{FORGOTTEN} {person.rpartition('-')[2][:4]}")


def _shop(connection: Connection) -> str:
    return str(connection.exec_driver_sql("SELECT sparehand.my_shop()").scalar_one())
