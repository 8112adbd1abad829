"""Promises as they were written down, and what became of them."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.terminal import new_console
from sparehand.job.events import JobClosed
from sparehand.log.job_search import opened_vehicles, plate_key
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import JobHeader
from sparehand.log.visit_records import PROMISE_MADE, VisitRecords
from sparehand.visit.calibration import JobEnd, PromiseOutcome, calibration, promise_outcomes
from sparehand.visit.records import Promise, stored_promises


def print_promises(*, as_json: bool, data: Path | None) -> None:
    """Each promise with what became of it, and the stated chances against that."""
    from sparehand.screens.day_table import promises_table

    now = datetime.now().astimezone()
    outcomes = outcomes_of(data_folder(data), now)
    if as_json:
        for one in outcomes:
            print(one.model_dump_json())
    else:
        new_console().print(promises_table(outcomes, calibration(outcomes), now))


def outcomes_of(folder: Path, now: datetime) -> tuple[PromiseOutcome, ...]:
    """What became of the promises of the log in `folder`. A vehicle is ready when its job is closed."""
    store = SqliteEventStore(folder / LOG_FILE, read_only=True)
    promises = stored_promises(VisitRecords(store.engine, store.path).of_kind(PROMISE_MADE))
    return promise_outcomes(promises, _job_ends(store, promises), now)


def _job_ends(store: SqliteEventStore, promises: tuple[Promise, ...]) -> list[JobEnd]:
    """The jobs that promises name, and those of vehicles that promises are about."""
    named = {one.job for one in promises if one.job}
    plates = {plate_key(one.plate) for one in promises if one.plate}
    found = {one.job: one.identification for one in opened_vehicles(store)}
    wanted = (one for one in store.jobs() if one.id in named or plate_key(found.get(one.id, "")) in plates)
    return [
        JobEnd(one.id, found.get(one.id, ""), one.opened_at, _closed_at(store, one), one.procedure) for one in wanted
    ]


def _closed_at(store: SqliteEventStore, header: JobHeader) -> datetime | None:
    if header.open:
        return None
    closings = (one.at.wall for one in reversed(store.events(header.id)) if isinstance(one.event, JobClosed))
    return next(closings, None)
