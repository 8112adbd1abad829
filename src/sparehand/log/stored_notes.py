"""The memos and lessons of every job in the log, and which of their recordings are there."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

from sqlalchemy import or_, select

from sparehand.job.job_lessons import Lesson, lessons
from sparehand.job.job_notes import Note, notes
from sparehand.log.connection import plain_errors, reading
from sparehand.log.memos import MemoFolder
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.tables import EVENTS

_KINDS = ("memo kept", "lesson kept", "name kept")
_LEFT_BEHIND_AFTER = timedelta(hours=1)
"""A file without its event is left alone for so long: its event may be about to be written."""


def jobs_with_notes(store: SqliteEventStore) -> tuple[str, ...]:
    """The jobs in which a memo or a lesson was kept, by name."""
    told = (EVENTS.c.body.contains(f'"kind":"{kind}"', autoescape=True) for kind in _KINDS)
    with plain_errors(store.path), reading(store.engine) as connection:
        # An opening is long, for it holds the procedure, and is none of these.
        query = select(EVENTS.c.job).where(EVENTS.c.sequence > 0, or_(*told)).distinct().order_by(EVENTS.c.job)
        return tuple(connection.scalars(query))


def stored_notes(store: SqliteEventStore) -> tuple[Note, ...]:
    """Every memo and lesson that was not taken back, job by job. Raises DamagedLogError for a job that is damaged."""
    return tuple(note for job in jobs_with_notes(store) for note in notes(store.events(job)))


def stored_lessons(store: SqliteEventStore) -> tuple[Lesson, ...]:
    """Every lesson that was not taken back. Raises DamagedLogError for a job that is damaged."""
    return tuple(lesson for job in jobs_with_notes(store) for lesson in lessons(store.events(job)))


def missing_sounds(store: SqliteEventStore) -> Iterator[Note]:
    """The notes whose recording is not there: tidied away, forgotten with its person, or lost."""
    memos = MemoFolder.beside(store.path)
    return (note for note in stored_notes(store) if note.sound_ms and not memos.has(note.id))


def recordings_past_retention(store: SqliteEventStore, days: int, now: datetime) -> Iterator[Path]:
    """The recordings of closed jobs older than `days` (0 keeps them for good), and files that belong to no event."""
    memos = MemoFolder.beside(store.path)
    kept = stored_notes(store)
    closed = {header.id for header in store.jobs() if not header.open}
    for note in kept:
        if days and note.job in closed and note.kept_at < now - timedelta(days=days) and memos.has(note.id):
            yield memos.path(note.id)
    for path in memos.strays([note.id for note in kept]):
        if datetime.fromtimestamp(path.stat().st_mtime, now.tzinfo) < now - _LEFT_BEHIND_AFTER:
            yield path
