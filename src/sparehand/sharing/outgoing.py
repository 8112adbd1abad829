"""What of a bench's log is still to be sent, a parcel at a time, in the order in which it was recorded."""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from datetime import datetime
from itertools import groupby
from typing import Any
from uuid import UUID

from sqlalchemy import Connection, RowMapping, select, true

from sparehand.ground.bounds import EVENTS_OF_JOB, LINE_CHARACTERS, NAME_CHARACTERS
from sparehand.job.events import Recorded
from sparehand.log.connection import plain_errors, reading
from sparehand.log.event_rows import StoredEvent, stored_events
from sparehand.log.headers import closed_batch
from sparehand.log.job_rows import rows_of
from sparehand.log.people import People
from sparehand.log.replay import replay
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import DamagedLogError
from sparehand.log.tables import EVENTS, JOBS, PEOPLE, PHASE_TIMES
from sparehand.log.time_rows import COLUMNS, CellError, TimeRow, admitted_row
from sparehand.log.timesheet import job_times, timesheet
from sparehand.log.wire import chain_start, from_wire, people_in
from sparehand.sharing.parcel import (
    Offset,
    Parcel,
    SentEvent,
    SentJob,
    SentPerson,
    SentPhase,
    SentSummary,
    imported_job,
    month_of,
)
from sparehand.sharing.redaction import Redaction

EVENTS_AT_ONCE = 5_000
ROWS_AT_ONCE = 10_000
"""How much one transaction carries: enough to be fast, little enough to be sent again after a break."""

_CHANGES_TIMES = {"job closed", "undone"}
_OUT_OF_BOUNDS = (DamagedLogError, ValueError, KeyError, TypeError)
"""What reading a job may raise that an earlier version took from outside, or that is damaged."""


def next_parcel(
    store: SqliteEventStore, after: Offset, redaction: Redaction, events: int = EVENTS_AT_ONCE, rows: int = ROWS_AT_ONCE
) -> Parcel | None:
    """The next events after `after`; when there are none, the next imported rows; None when all was sent.

    Reads only, in one short transaction. Raises DamagedLogError for a log that is not what was written.
    """
    with plain_errors(store.path), reading(store.engine) as connection:
        query = select(EVENTS).where(EVENTS.c.arrival > after.event).order_by(EVENTS.c.arrival).limit(events)
        found = connection.execute(query).mappings().all()
        if found:
            return _of_events(connection, found, after, redaction)
        return _of_imports(connection, after, redaction, rows)


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
            summary = _summary(connection, job, sent[-1].sequence) if changed else None
        except _OUT_OF_BOUNDS:
            left_out.append(name)
            continue
        jobs.append(job)
        events += sent
        people |= {id for row in of_job for id in people_in(row["body"])}
        if summary:
            summaries.append(summary)
            people |= {phase.technician for phase in summary.phases}
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


def _summary(connection: Connection, job: SentJob, upto: int) -> SentSummary:
    """The times of a job as its events up to `upto` tell them."""
    history = _recorded(stored_events(connection, job.name)[: upto + 1])
    state = replay(history)
    times = job_times(state, timesheet(state))
    closed = closed_batch(history) is not None
    return SentSummary(
        job=job.job,
        month=job.month,
        revision=upto,
        name=job.name,
        opened_at=times.opened_at.isoformat(),
        procedure=times.procedure,
        operations=";".join(times.operations),
        corrosion=times.corrosion,
        support=times.support,
        rework=times.rework or bool(times.left_out),
        imported=False,
        closed=closed,
        phases=tuple(_phase(vars(row)) for row in rows_of(times)) if closed else (),
    )


def _recorded(kept: Iterable[StoredEvent]) -> tuple[Recorded, ...]:
    """Events with the ids of people in place of their names."""
    return tuple(from_wire(one.body, str) for one in kept)


def _phase(row: Any) -> SentPhase:
    return SentPhase(
        row["phase"],
        row["side"],
        row["technician"],
        row["work_seconds"],
        row["held_seconds"],
        row["snags"],
        bool(row["complete"]),
    )


def _of_imports(connection: Connection, after: Offset, redaction: Redaction, rows: int) -> Parcel | None:
    times = PHASE_TIMES.c
    new = select(times.place, times.job).where(times.imported == true(), times.place > after.row)
    places = connection.execute(new.order_by(times.place).limit(rows)).all()
    if not places:
        return None
    names = {row.job for row in places}
    here = set(connection.scalars(select(JOBS.c.job).where(JOBS.c.job.in_(names))))
    query = select(PHASE_TIMES).where(times.imported == true(), times.job.in_(names - here))
    found = connection.execute(query.order_by(times.job, times.place)).mappings()
    summaries: list[SentSummary] = []
    left_out: list[str] = []
    for name, of_job in groupby(found, key=lambda row: str(row["job"])):
        try:
            summaries.append(_imported(name, list(of_job)))
        except (CellError, ValueError, TypeError):
            left_out.append(name)
    people = {phase.technician for summary in summaries for phase in summary.phases}
    upto = Offset(after.event, places[-1].place)
    return Parcel((), (), tuple(summaries), _people(connection, people, redaction), upto, tuple(left_out))


def _imported(name: str, rows: Sequence[RowMapping]) -> SentSummary:
    for row in rows:
        admitted_row(TimeRow(**{column: row[column] for column in COLUMNS}))
    first = rows[0]
    return SentSummary(
        job=imported_job(name),
        month=month_of(datetime.fromisoformat(first["opened_at"])),
        revision=len(rows),
        name=name,
        opened_at=first["opened_at"],
        procedure=first["procedure"],
        operations=first["operations"],
        corrosion=first["corrosion"],
        support=first["support"],
        rework=bool(first["rework"] or first["left_out"]),
        imported=True,
        closed=True,
        phases=tuple(_phase(row) for row in rows),
    )


def _people(connection: Connection, ids: Iterable[str], redaction: Redaction) -> tuple[SentPerson, ...]:
    wanted = sorted(id for id in ids if id)
    people = People(connection)
    blank = set(connection.scalars(select(PEOPLE.c.id).where(PEOPLE.c.id.in_(wanted), PEOPLE.c.name.is_(None))))
    return tuple(SentPerson(id, None if id in blank else redaction.name(people.name_of(id))) for id in wanted)
