"""Events as the database keeps them: the written form and its chain hash, and what the list of jobs says of them."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Row, Select, false, insert, select, update

from sparehand.job.events import JobOpened, Recorded
from sparehand.log.headers import closed_batch
from sparehand.log.marks import Mark
from sparehand.log.people import People
from sparehand.log.store import DamagedLogError, JobHeader
from sparehand.log.tables import EVENTS, JOB_TIMES, JOBS
from sparehand.log.wire import chain_start, chained, to_wire


@dataclass(frozen=True)
class StoredEvent:
    """An event as it is kept: its written form and its chain hash."""

    sequence: int
    body: str
    chain: bytes


def to_stored(recorded: Sequence[Recorded], after: bytes, person_of: Callable[[str], str]) -> tuple[StoredEvent, ...]:
    """The kept form of events that follow the chain hash `after`."""
    kept = []
    for one in recorded:
        body = to_wire(one, person_of)
        after = chained(after, body)
        kept.append(StoredEvent(one.sequence, body, after))
    return tuple(kept)


def stored_events(connection: Connection, job: str) -> tuple[StoredEvent, ...]:
    """The events of a job as they are kept, in order."""
    rows = connection.execute(_of_job(job).order_by(EVENTS.c.sequence))
    return tuple(_as_kept(row) for row in rows)


def last_stored(connection: Connection, job: str) -> StoredEvent | None:
    """The last event of a job as it is kept."""
    row = connection.execute(_of_job(job).order_by(EVENTS.c.sequence.desc()).limit(1)).first()
    return _as_kept(row) if row else None


def insert_stored(connection: Connection, job: str, kept: Sequence[StoredEvent]) -> None:
    """Put events into the database as they are."""
    rows = [
        {
            "job": job,
            "sequence": one.sequence,
            "id": json.loads(one.body)["id"],
            "body": one.body,
            "chain": one.chain,
        }
        for one in kept
    ]
    if rows:
        connection.execute(insert(EVENTS), rows)


def update_header(
    connection: Connection, job: str, recorded: Sequence[Recorded], person_of: Callable[[str], str]
) -> None:
    """Bring the list of jobs up to events that were just put in."""
    first = recorded[0]
    if isinstance(first.event, JobOpened):
        opened = {
            "job": job,
            "procedure": first.event.procedure.id,
            "opened_at": first.at.wall.astimezone(UTC).isoformat(timespec="microseconds"),
            "technician": person_of(first.event.technician),
            "vehicle": first.event.vehicle.name,
        }
        connection.execute(insert(JOBS).values(opened))
    before = connection.scalar(select(JOBS.c.closed_batch).where(JOBS.c.job == job))
    after = closed_batch(recorded, before)
    if after != before:
        connection.execute(update(JOBS).where(JOBS.c.job == job).values(closed_batch=after))


def stored_headers(connection: Connection) -> tuple[JobHeader, ...]:
    """The list of jobs, the oldest first."""
    people = People(connection)
    times = JOB_TIMES.c
    kept = select(times.left_out).where(times.job == JOBS.c.job, times.imported == false())
    left_out = kept.scalar_subquery().label("left_out")
    return tuple(
        JobHeader(
            id=row.job,
            procedure=row.procedure,
            opened_at=_opened_at(row.job, row.opened_at),
            open=row.closed_batch is None,
            technician=people.name_of(row.technician),
            vehicle=row.vehicle,
            left_out=row.left_out or "",
        )
        for row in connection.execute(select(JOBS, left_out).order_by(JOBS.c.opened_at, JOBS.c.job))
    )


def check_stored(job: str, kept: Sequence[StoredEvent], mark: Mark | None) -> None:
    """Raise DamagedLogError unless the events are gap-free, chained, and reach the high-water mark."""
    for problem in problems(kept, job, mark):
        raise DamagedLogError(f"job {job} {problem}; see `sparehand log verify {job}`, then `sparehand log rescue`")


def problems(kept: Sequence[StoredEvent], job: str, mark: Mark | None) -> Iterator[str]:
    """What is wrong with the kept events of a job, each worded to follow the job's name."""
    before, expected = chain_start(job), 0
    for one in kept:
        if one.sequence != expected:
            yield f"has lost {_span(expected, one.sequence - 1)}"
        elif chained(before, one.body) != one.chain:
            yield f"has an event {one.sequence} that is not what was written"
        elif mark and mark.sequence == one.sequence and mark.chain != one.chain:
            yield f"has an event {one.sequence} that was exchanged after it was written"
        before, expected = one.chain, one.sequence + 1
    if mark and mark.sequence >= expected:
        yield f"has lost {_span(expected, mark.sequence)}, the last it had"


def _opened_at(job: str, text: object) -> datetime:
    try:
        return datetime.fromisoformat(str(text)).astimezone()
    except (ValueError, OverflowError) as error:
        raise DamagedLogError(f"job {job} is damaged in the list of jobs; see `sparehand log verify`") from error


def _as_kept(row: Row[Any]) -> StoredEvent:
    """The event of a row; in a damaged one a value may be of any type, which no chain then fits."""
    return StoredEvent(
        row.sequence if isinstance(row.sequence, int) else -1,
        row.body if isinstance(row.body, str) else "",
        row.chain if isinstance(row.chain, bytes) else b"",
    )


def _span(first: int, last: int) -> str:
    return f"event {first}" if first == last else f"events {first} to {last}"


def _of_job(job: str) -> Select[tuple[int, str, bytes]]:
    return select(EVENTS.c.sequence, EVENTS.c.body, EVENTS.c.chain).where(EVENTS.c.job == job)
