"""The memos, lessons and pictures of every job in the log, and which of their files are there."""

from __future__ import annotations

import json
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path
from uuid import UUID

from sqlalchemy import or_, select

from sparehand.job.job_lessons import Lesson, lessons
from sparehand.job.job_notes import Note, notes
from sparehand.log.connection import plain_errors, reading
from sparehand.log.memos import PICTURE, MemoFolder
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.tables import EVENTS

_KINDS = ("memo kept", "lesson kept", "name kept", "picture taken")
_LEFT_BEHIND_AFTER = timedelta(hours=1)
"""A file without its event is left alone for so long: its event may be about to be written."""


def jobs_with_notes(store: SqliteEventStore) -> tuple[str, ...]:
    """The jobs in which a memo, a lesson or a picture was kept, by name."""
    told = (EVENTS.c.body.contains(f'"kind":"{kind}"', autoescape=True) for kind in _KINDS)
    with plain_errors(store.path), reading(store.engine) as connection:
        # An opening is long, for it holds the procedure, and is none of these.
        query = select(EVENTS.c.job).where(EVENTS.c.sequence > 0, or_(*told)).distinct().order_by(EVENTS.c.job)
        return tuple(connection.scalars(query))


def stored_notes(store: SqliteEventStore) -> tuple[Note, ...]:
    """Every memo, lesson and picture that was not taken back. Raises DamagedLogError for a job that is damaged."""
    return tuple(note for job in jobs_with_notes(store) for note in notes(store.events(job)))


def stored_lessons(store: SqliteEventStore) -> tuple[Lesson, ...]:
    """Every lesson that was not taken back. Raises DamagedLogError for a job that is damaged."""
    return tuple(lesson for job in jobs_with_notes(store) for lesson in lessons(store.events(job)))


def missing_files(store: SqliteEventStore) -> Iterator[Note]:
    """The notes whose file is not there: tidied away, forgotten with its person, or lost."""
    memos = MemoFolder.beside(store.path)
    return (note for note in stored_notes(store) if note.ending and not memos.file_of(note))


def shown_pictures(store: SqliteEventStore, job: str | None = None) -> frozenset[UUID]:
    """The pictures that the steps of every job, or of one, show."""
    with plain_errors(store.path), reading(store.engine) as connection:
        brings = or_(EVENTS.c.sequence == 0, EVENTS.c.body.contains('"kind":"procedure joined"'))
        query = select(EVENTS.c.body).where(brings, EVENTS.c.body.contains('"pictures":{"'))
        bodies = connection.scalars(query.where(EVENTS.c.job == job) if job else query).all()
    return frozenset(UUID(id) for body in bodies for id in json.loads(body)["event"].get("pictures", {}).values())


def picture_ids(store: SqliteEventStore, job: str | None = None) -> tuple[UUID, ...]:
    """The pictures of every job, or of one, that are there: taken, or shown by its steps."""
    told = notes(store.events(job)) if job else stored_notes(store)
    taken = {note.id for note in told if note.kind == "picture"}
    memos = MemoFolder.beside(store.path)
    return tuple(id for id in sorted(taken | shown_pictures(store, job)) if memos.path(id, PICTURE).is_file())


def files_past_retention(
    store: SqliteEventStore, memo_days: int, now: datetime, customer_days: int = 0
) -> Iterator[Path]:
    """The recordings and pictures of closed jobs older than `memo_days`, and files that belong to no event.

    Pictures go after `customer_days`, too, for they may show whose vehicle it was; 0 keeps either for good.
    """
    memos = MemoFolder.beside(store.path)
    kept = stored_notes(store)
    closed = {header.id for header in store.jobs() if not header.open}
    for note in kept:
        days = [days for days in (memo_days, customer_days if note.kind == "picture" else 0) if days]
        path = memos.file_of(note)
        if path and days and note.job in closed and note.kept_at < now - timedelta(days=min(days)):
            yield path
    known = {path for note in kept if (path := memos.file_of(note))}
    for path in memos.strays(known | {memos.path(id, PICTURE) for id in shown_pictures(store)}):
        if datetime.fromtimestamp(path.stat().st_mtime, now.tzinfo) < now - _LEFT_BEHIND_AFTER:
            yield path
