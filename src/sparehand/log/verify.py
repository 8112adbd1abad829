"""Whether the log is what was written: every chain whole, nothing missing, and what was summed up still true."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice

from sqlalchemy import Connection, select
from sqlalchemy.exc import DatabaseError

from sparehand.ground.plurals import how_many
from sparehand.ground.terminal import printable
from sparehand.job.events import Recorded
from sparehand.log import phase_times
from sparehand.log.connection import connect, plain_errors, reading
from sparehand.log.event_rows import StoredEvent, problems, stored_events, stored_headers
from sparehand.log.headers import header_of
from sparehand.log.job_rows import rows_of
from sparehand.log.marks import Mark
from sparehand.log.migrations import migrate
from sparehand.log.packed_jobs import from_values, opened_of
from sparehand.log.people import People
from sparehand.log.shown_names import seal_of_person
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import DamagedLogError
from sparehand.log.tables import EVENTS, JOB_TIMES, JOBS, PEOPLE, VISIT_RECORDS
from sparehand.log.visit_records import seal_of_visit
from sparehand.log.wire import from_wire
from sparehand.times.job_times import JobTimes

_UNREADABLE = (DatabaseError, DamagedLogError, ValueError, TypeError)
"""What reading a damaged row may raise: the driver, the checks, and the turning of values into Python's."""

_TOLD_AT_MOST = 20

TimesOf = Callable[[tuple[Recorded, ...]], JobTimes]


@dataclass(frozen=True)
class Verdict:
    """What was found of a job, or of the database itself where `job` is empty."""

    job: str
    events: int
    problems: tuple[str, ...]

    @property
    def sound(self) -> bool:
        """Whether nothing is wrong."""
        return not self.problems

    def __str__(self) -> str:
        name = f"job {self.job}" if self.job else "the database"
        if self.sound:
            return f"{name}: sound, {how_many(self.events, 'event')}" if self.job else f"{name}: sound"
        return f"{name} " + "; ".join(self.problems)


def verify(store: SqliteEventStore, job: str | None = None, times_of: TimesOf | None = None) -> tuple[Verdict, ...]:
    """Look through the whole log, or one job of it. `times_of` replays a job; its times must equal those kept."""
    marks = store.marks.read_all()
    with plain_errors(store.path), reading(store.engine) as connection:
        if job is not None:
            return (_of_job(store, marks, connection, job, times_of),)
        jobs = set(connection.scalars(select(EVENTS.c.job).distinct())) | set(marks)
        jobs |= set(connection.scalars(select(JOBS.c.job)))
        return (_of_database(connection), *(_of_job(store, marks, connection, one, times_of) for one in sorted(jobs)))


def _of_database(connection: Connection) -> Verdict:
    try:
        told = connection.exec_driver_sql("PRAGMA integrity_check(20)").scalars().all()
    except _UNREADABLE as error:
        told = [str(error)]
    damaged = [] if list(told) == ["ok"] else [f"is damaged: {line}" for line in told]
    return Verdict("", 0, (*damaged, *_strange_schema(connection), *islice(_broken_seals(connection), _TOLD_AT_MOST)))


def _strange_schema(connection: Connection) -> Iterator[str]:
    """Tables, triggers, views and indexes that were added, changed or removed: a trigger changes what is recorded."""
    try:
        here = _schema(connection)
        fresh = connect(None, read_only=False, busy_ms=0)
        migrate(fresh, None)
        with reading(fresh) as empty:
            ours = _schema(empty)
        fresh.dispose()
    except _UNREADABLE as error:
        yield f"cannot be read: {error}"
        return
    for kind, name in sorted(here.keys() | ours.keys()):
        if here.get((kind, name)) != ours.get((kind, name)):
            how = "lacks" if (kind, name) not in here else "has changed" if (kind, name) in ours else "was given"
            yield f"{how} the {kind} {printable(name)}"


def _schema(connection: Connection) -> dict[tuple[str, str], str]:
    rows = connection.exec_driver_sql("SELECT type, name, coalesce(sql, '') AS sql FROM sqlite_master")
    return {(row.type, row.name): row.sql for row in rows if not row.name.startswith("sqlite_stat")}


def _broken_seals(connection: Connection) -> Iterator[str]:
    """The names and imported times that are not what was written; no chain covers them."""
    try:
        people = {row.id: row for row in connection.execute(select(PEOPLE))}
        for id, row in people.items():
            if row.seal != seal_of_person(id, row.name):
                yield f"has a name, of {id}, that is not what was written"
        columns = (*phase_times.PACKED, JOB_TIMES.c.seal, JOB_TIMES.c.opened)
        for *values, seal, opened in connection.execute(select(*columns).order_by(JOB_TIMES.c.place)):
            job = from_values(values)
            try:
                phase_times.require_sealed(job, seal)
            except DamagedLogError as error:
                yield str(error)
                continue
            if opened != opened_of(job.opened_at):
                yield f"has the times of job {job.job} at another place in their order"
            if not job.people <= people.keys():
                yield f"has a time of job {job.job} by nobody it knows"
        yield from _changed_visits(connection)
    except _UNREADABLE as error:
        yield f"cannot be read: {error}"


def _changed_visits(connection: Connection) -> Iterator[str]:
    for visit in connection.execute(select(VISIT_RECORDS).order_by(VISIT_RECORDS.c.place)).mappings():
        if visit["seal"] != seal_of_visit(dict(visit)):
            yield f"has a record of a visit, {visit['place']}, that is not what was written"


def _of_job(
    store: SqliteEventStore,
    marks: Mapping[str, Mark | None],
    connection: Connection,
    job: str,
    times_of: TimesOf | None,
) -> Verdict:
    try:
        kept = stored_events(connection, job)
        mark = marks.get(job)
        found = tuple(problems(kept, job, mark))
        if not found:
            # A job that was begun since then has its mark by now.
            unmarked = mark is None and store.marks.read(job) is None
            found = tuple(_differences(connection, kept, unmarked, times_of))
    except _UNREADABLE as error:
        return Verdict(job, 0, (f"cannot be read: {error}",))
    return Verdict(job, len(kept), found)


def _differences(
    connection: Connection, kept: Sequence[StoredEvent], unmarked: bool, times_of: TimesOf | None
) -> Iterator[str]:
    """What an unbroken chain does not show."""
    people = People(connection)
    try:
        recorded = tuple(from_wire(one.body, people.name_of) for one in kept)
    except DamagedLogError as error:
        yield f"cannot be replayed: {error}"
        return
    if not recorded:
        yield "is listed without a single event"
        return
    # A kill between the first decision and its mark leaves a sound job without one.
    if unmarked and recorded[-1].batch > 0:
        yield "has no high-water mark: whether its end is whole cannot be told"
    header = header_of(recorded)
    if header not in stored_headers(connection):
        yield "stands otherwise in the list of jobs than its events tell"
    told = times_of(recorded) if times_of and not header.open else None
    for one in (told, *told.joined) if told else ():
        times = phase_times.of_job(connection, one.job)
        if times and rows_of(one) != rows_of(times):
            yield "has other times kept than its events tell"
