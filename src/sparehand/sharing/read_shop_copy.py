"""What the other benches of the shop have shared, read from this bench's copy; nothing where it has none."""

from __future__ import annotations

from contextlib import suppress
from itertools import groupby
from pathlib import Path

from sparehand.ground.errors import FailureError
from sparehand.job.events import Recorded
from sparehand.log.connection import plain_errors, reading
from sparehand.log.people import People
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.wire import from_wire
from sparehand.sharing.open_job import OpenJob
from sparehand.sharing.shop_copy import COPY_FILE, ShopCopy, has_table
from sparehand.sharing.sync_state import FOLDER
from sparehand.times.job_times import JobTimes


def open_shop_copy(folder: Path) -> SqliteEventStore | None:
    """The copy to read from, where there is one; to be closed. One of an earlier version is looked through first."""
    path = folder / FOLDER / COPY_FILE
    if not path.exists():
        return None
    store = SqliteEventStore(path, read_only=True)
    with plain_errors(path), reading(store.engine) as connection:
        older = not has_table(connection, "set_aside")
    if older:
        # Where nothing can be written the copy is read as it is.
        with suppress(FailureError):
            ShopCopy(folder).close()
    return store


def shop_copy_times(folder: Path, procedure: str | None = None) -> tuple[JobTimes, ...]:
    """The times of the other benches' jobs as they were last fetched, the oldest first; nothing where none were."""
    store = open_shop_copy(folder)
    if store is None:
        return ()
    try:
        return store.times.imported(procedure)
    finally:
        store.close()


def shop_copy_notes(folder: Path) -> tuple[tuple[Recorded, ...], ...]:
    """What the other benches' jobs with lessons tell of them: a history each, of the events that have to do with it."""
    store = open_shop_copy(folder)
    if store is None:
        return ()
    try:
        with plain_errors(store.path), reading(store.engine) as connection:
            people = People(connection)
            rows = connection.exec_driver_sql("SELECT job, body FROM noted ORDER BY job, sequence")
            of_jobs = groupby(rows, key=lambda row: row.job)
            return tuple(tuple(from_wire(row.body, people.name_of) for row in of_job) for _, of_job in of_jobs)
    finally:
        store.close()


def shop_copy_open_jobs(folder: Path) -> tuple[OpenJob, ...]:
    """The open jobs of the other benches as they were last fetched, with the names of who works on them."""
    store = open_shop_copy(folder)
    if store is None:
        return ()
    try:
        with plain_errors(store.path), reading(store.engine) as connection:
            if not has_table(connection, "open_jobs"):
                return ()
            people = People(connection)
            bodies = connection.exec_driver_sql("SELECT body FROM open_jobs").scalars()
            jobs = [OpenJob.model_validate_json(body) for body in bodies]
            named = [tuple((people.name_of(id), stopped) for id, stopped in job.people) for job in jobs]
            return tuple(job.model_copy(update={"people": who}) for job, who in zip(jobs, named, strict=True))
    finally:
        store.close()
