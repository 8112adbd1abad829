"""What tells a customer and a vehicle from others: where it stands in an event, and its end once it is past keeping."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from datetime import datetime, timedelta
from typing import Any

from sqlalchemy import update

from sparehand.log.connection import checkpoint, plain_errors, reading, writing
from sparehand.log.event_rows import StoredEvent, check_stored, stored_events
from sparehand.log.marks import Mark
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.tables import EVENTS, JOBS
from sparehand.log.wire import canonical, chain_start, chained

_VEHICLE_FIELDS: dict[str, Any] = {"name": "", "identification": "", "odometer": None}
_EVENT_FIELDS: dict[str, dict[str, Any]] = {
    "job opened": {"complaint": ""},
    "order noted": {"words": ""},
    "line started": {"reference": ""},
    "line ended": {"result": ""},
    "line noted": {"result": None, "reference": None, "amount": None},
    "follow-up scheduled": {"words": ""},
    "follow-up done": {"result": ""},
}
"""The empty value of each field that a customer's words, prices or references may stand in, by kind of event."""

CUSTOMER_KINDS = frozenset((*_EVENT_FIELDS, "estimate approved"))
"""The kinds of event that may say something of a customer or a vehicle."""


def without_customer(body: str) -> str:
    """The written form of an event without customer and registration fields; any other event as it is."""
    written = json.loads(body)
    event = written["event"]
    if event["kind"] not in CUSTOMER_KINDS:
        return body
    _blank(event, _EVENT_FIELDS.get(event["kind"], {}))
    _blank(event.get("vehicle", {}), _VEHICLE_FIELDS)
    for approved in event.get("approved", ()):
        _blank(approved, {"price": None})
    return canonical(written)


def _blank(holder: dict[str, Any], fields: dict[str, Any]) -> None:
    holder.update({field: empty for field, empty in fields.items() if field in holder})


def customers_past_retention(store: SqliteEventStore, days: int, now: datetime) -> Iterator[str]:
    """The closed jobs that still name a vehicle or a customer `days` after they were opened; 0 keeps them for good."""
    for header in store.jobs():
        if days and not header.open and header.opened_at < now - timedelta(days=days):
            with plain_errors(store.path), reading(store.engine) as connection:
                events = stored_events(connection, header.id)
            if any(without_customer(one.body) != one.body for one in events):
                yield header.id


def blank_customer(store: SqliteEventStore, job: str) -> None:
    """Blank the customer and registration fields of a job for good, and chain its events anew."""
    rewrite_job(store, job, without_customer, {"vehicle": ""})


def rewrite_job(
    store: SqliteEventStore, job: str, change: Callable[[str], str], header: Mapping[str, object] | None = None
) -> None:
    """Change the written form of a job's events for good, and perhaps its header, and chain its events anew.

    A power cut in between leaves a whole job, changed or not. Raises DamagedLogError for a job that is damaged, and
    leaves it as it is; FailureError where another window has it.
    """
    with store.claim(job), plain_errors(store.path):
        mark = store.marks.read(job)
        with writing(store.engine) as connection:
            kept = stored_events(connection, job)
            check_stored(job, kept, mark)
            blanked = tuple(_chained_anew(job, kept, change))
            marks = {job: Mark(blanked[-1].sequence, blanked[-1].chain)}
            store.marks.intend(marks)
            for one in blanked:
                place = (EVENTS.c.job == job) & (EVENTS.c.sequence == one.sequence)
                connection.execute(update(EVENTS).where(place).values(body=one.body, chain=one.chain))
            if header:
                connection.execute(update(JOBS).where(JOBS.c.job == job).values(header))
        checkpoint(store.engine)
        store.marks.replace(marks)


def _chained_anew(job: str, kept: tuple[StoredEvent, ...], change: Callable[[str], str]) -> Iterator[StoredEvent]:
    chain = chain_start(job)
    for one in kept:
        body = change(one.body)
        chain = chained(chain, body)
        yield StoredEvent(one.sequence, body, chain)
