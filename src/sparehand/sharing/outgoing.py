"""What of a bench's log is still to be sent, a parcel at a time, in the order in which it was recorded."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from uuid import UUID, uuid5

from sqlalchemy import Connection, RowMapping, select

from sparehand.ground.bounds import EVENTS_OF_JOB, LINE_CHARACTERS, NAME_CHARACTERS
from sparehand.job.events import Recorded
from sparehand.log.connection import plain_errors, reading
from sparehand.log.event_rows import StoredEvent, stored_events
from sparehand.log.headers import closed_batch
from sparehand.log.job_rows import rows_of
from sparehand.log.packed_jobs import NO_PHASES, PackedJob, admitted_job, from_values, packed
from sparehand.log.people import People
from sparehand.log.phase_times import PACKED
from sparehand.log.replay import replay
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import DamagedLogError
from sparehand.log.tables import EVENTS, JOB_TIMES, JOBS, PEOPLE
from sparehand.log.time_rows import CellError
from sparehand.log.timesheet import job_times, timesheet
from sparehand.log.wire import chain_start, from_wire, people_in
from sparehand.sharing.parcel import (
    Offset,
    Parcel,
    SentEvent,
    SentJob,
    SentPerson,
    SentSummary,
    imported_job,
    month_of,
)
from sparehand.sharing.redaction import Redaction
from sparehand.times.job_times import JobTimes

EVENTS_AT_ONCE = 5_000
JOBS_AT_ONCE = 2_000
"""How much one transaction carries: enough to be fast, little enough to be sent again after a break."""

_CHANGES_TIMES = {"job closed", "undone"}
_OUT_OF_BOUNDS = (DamagedLogError, ValueError, KeyError, TypeError)
"""What reading a job may raise that an earlier version took from outside, or that is damaged."""


def next_parcel(
    store: SqliteEventStore, after: Offset, redaction: Redaction, events: int = EVENTS_AT_ONCE, jobs: int = JOBS_AT_ONCE
) -> Parcel | None:
    """The next events after `after`; when there are none, the next imported jobs; None when all was sent.

    Reads only, in one short transaction. Raises DamagedLogError for a log that is not what was written.
    """
    with plain_errors(store.path), reading(store.engine) as connection:
        query = select(EVENTS).where(EVENTS.c.arrival > after.event).order_by(EVENTS.c.arrival).limit(events)
        found = connection.execute(query).mappings().all()
        if found:
            return _of_events(connection, found, after, redaction)
        return _of_imports(connection, after, redaction, jobs)


def _of_events(connection: Connection, rows: Sequence[RowMapping], after: Offset, redaction: Redaction) -> Parcel:
    by_job: dict[str, list[RowMapping]] = {}
    for row in rows:
        by_job.setdefault(row["job"], []).append(row)
    jobs: list[SentJob] = []
    events: list[SentEvent] = []
    summaries: list[SentSummary] = []
    people: set[str] = set()
    left_out: list[str] = []
    for name, of_job in by_job.items():
        try:
            job = _job(connection, name)
            sent = _events(connection, job, of_job, redaction)
            changed = {one.kind for one in sent} & _CHANGES_TIMES or _is_closed(connection, name)
            found = tuple(_summaries(connection, job, sent[-1].sequence)) if changed else ()
        except _OUT_OF_BOUNDS:
            left_out.append(name)
            continue
        jobs.append(job)
        events += sent
        people |= {id for row in of_job for id in people_in(row["body"])}
        summaries += found
        jobs += [SentJob(one.job, one.month, one.times.job) for one in found if one.job != job.job]
        people |= {person for one in found for person in one.times.people}
    upto = Offset(rows[-1]["arrival"], after.row)
    named = _people(connection, people, redaction)
    return Parcel(tuple(jobs), tuple(events), tuple(summaries), named, upto, tuple(left_out))


def _job(connection: Connection, name: str) -> SentJob:
    opening = connection.scalar(select(EVENTS.c.body).where(EVENTS.c.job == name, EVENTS.c.sequence == 0))
    if len(name) > NAME_CHARACTERS:
        raise ValueError("a name beyond its bounds")
    written = json.loads(opening or "")
    return SentJob(UUID(written["id"]), month_of(datetime.fromisoformat(written["at"]["wall"])), name)


def _events(connection: Connection, job: SentJob, rows: Sequence[RowMapping], redaction: Redaction) -> list[SentEvent]:
    first = rows[0]["sequence"]
    before = chain_start(job.name)
    if first:
        earlier = select(EVENTS.c.chain).where(EVENTS.c.job == job.name, EVENTS.c.sequence == first - 1)
        before = connection.scalar(earlier) or b""
    sent = []
    for row in rows:
        kind = json.loads(row["body"])["event"]["kind"]
        body = redaction.body(kind, row["body"])
        if row["sequence"] > EVENTS_OF_JOB or len(body) > LINE_CHARACTERS:
            raise ValueError("an event beyond its bounds")
        redacted = body != row["body"]
        sent.append(SentEvent(job.job, job.month, row["sequence"], kind, body, row["chain"], before, redacted))
        before = row["chain"]
    return sent


def _is_closed(connection: Connection, name: str) -> bool:
    return connection.scalar(select(JOBS.c.closed_batch).where(JOBS.c.job == name)) is not None


def _summaries(connection: Connection, job: SentJob, upto: int) -> Iterator[SentSummary]:
    """The times of a job, and of what joined it, as its events up to `upto` tell them."""
    history = _recorded(stored_events(connection, job.name)[: upto + 1])
    state = replay(history)
    times = job_times(state, timesheet(state))
    closed = closed_batch(history) is not None
    yield _summary(times, job.job, job.month, upto, closed=closed)
    for each in times.joined:
        yield _summary(each, uuid5(job.job, each.procedure), job.month, upto, closed=closed)


def _summary(times: JobTimes, job: UUID, month: date, revision: int, *, closed: bool) -> SentSummary:
    rows = rows_of(times) if closed else ()
    head = (times.job, times.opened_at.isoformat(), times.procedure, ";".join(times.operations))
    sent = packed(rows) if rows else PackedJob(*head, times.corrosion, times.support, NO_PHASES, "")
    return SentSummary(job, month, revision, sent, times.rework or bool(times.left_out), False, closed)


def _recorded(kept: Iterable[StoredEvent]) -> tuple[Recorded, ...]:
    """Events with the ids of people in place of their names."""
    return tuple(from_wire(one.body, str) for one in kept)


def _of_imports(connection: Connection, after: Offset, redaction: Redaction, jobs: int) -> Parcel | None:
    times = JOB_TIMES.c
    own = times.job.in_(select(JOBS.c.job))
    new = select(*PACKED, times.place, times.rework, times.left_out, own).where(times.imported, times.place > after.row)
    found = connection.execute(new.order_by(times.place).limit(jobs)).all()
    if not found:
        return None
    summaries: list[SentSummary] = []
    left_out: list[str] = []
    for *values, _, rework, decided, is_own in found:
        job = from_values(values)
        try:
            if not is_own:
                summaries.append(_imported(admitted_job(job), rework=bool(rework or decided)))
        except CellError:
            left_out.append(job.job)
    people = {id for summary in summaries for id in summary.times.people}
    upto = Offset(after.event, found[-1].place)
    return Parcel((), (), tuple(summaries), _people(connection, people, redaction), upto, tuple(left_out))


def _imported(job: PackedJob, *, rework: bool) -> SentSummary:
    month = month_of(datetime.fromisoformat(job.opened_at))
    return SentSummary(imported_job(job.job), month, job.rows, job, rework, imported=True, closed=True)


def _people(connection: Connection, ids: Iterable[str], redaction: Redaction) -> tuple[SentPerson, ...]:
    wanted = sorted(id for id in ids if id)
    people = People(connection)
    blank = set(connection.scalars(select(PEOPLE.c.id).where(PEOPLE.c.id.in_(wanted), PEOPLE.c.name.is_(None))))
    return tuple(SentPerson(id, None if id in blank else redaction.name(people.name_of(id))) for id in wanted)
