"""Today: the open jobs of each bench, and the estimates that wait for an answer."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path

from sparehand.ground.clock import LiveClock, Moment
from sparehand.ground.ids import new_run_id
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.terminal import new_console
from sparehand.job.events import Recorded
from sparehand.job.state import JobState, fold
from sparehand.log.connection import plain_errors, reading
from sparehand.log.people import People
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import DamagedLogError
from sparehand.log.visit_records import ESTIMATE_DECIDED, ESTIMATE_GIVEN, PROMISE_MADE, VisitRecords
from sparehand.sharing.open_job import OpenJob
from sparehand.sharing.read_shop_copy import shop_copy_open_jobs
from sparehand.shop.offers import experience_now
from sparehand.shop.shop_belief import inputs_for_job
from sparehand.visit.records import Promise, StoredEstimate, stored_estimates, stored_promises
from sparehand.visit.today import TodayJob, Told, job_for_shop, job_of_shop, today_job

ASKED_DAYS = 14
"""So long an estimate without an answer is listed."""


@dataclass(frozen=True)
class Today:
    """The open jobs by bench, the estimates without an answer, and the ids of jobs that cannot be read."""

    jobs: tuple[TodayJob, ...]
    unanswered: tuple[StoredEstimate, ...]
    damaged: tuple[str, ...]


def print_today(*, as_json: bool, data: Path | None) -> None:
    """What is open now, on screen or as JSON, a line each job."""
    from sparehand.screens.today_table import today_table

    now = LiveClock(new_run_id()).now()
    today = today_of(data_folder(data), now)
    if as_json:
        for job in today.jobs:
            print(job.model_dump_json())
    else:
        new_console().print(today_table(today.jobs, today.unanswered, now.wall))
    for id in today.damaged:
        new_console(stderr=True).print(f"job {id} is damaged and left out; see `sparehand log verify {id}`")


def today_of(folder: Path, now: Moment) -> Today:
    """The open jobs of the log in `folder` as they stand at `now`, and those that the shop's other benches told of."""
    store = SqliteEventStore(folder / LOG_FILE, read_only=True)
    records = VisitRecords(store.engine, store.path).of_kind(ESTIMATE_GIVEN, ESTIMATE_DECIDED, PROMISE_MADE)
    promises = {one.job: one for one in stored_promises(records) if one.job}
    own, damaged = _open_jobs(store, now, promises)
    jobs = [job for job, _ in own] + [job_of_shop(one, now.wall) for one in shop_copy_open_jobs(folder)]
    asked = now.wall - timedelta(days=ASKED_DAYS)
    unanswered = tuple(one for one in stored_estimates(records) if one.outcome is None and one.given_at >= asked)
    return Today(
        tuple(sorted(jobs, key=lambda job: (job.shared_at is not None, job.bench, job.job))), unanswered, tuple(damaged)
    )


def jobs_for_shop(store: SqliteEventStore, now: Moment, bench: str) -> tuple[OpenJob, ...]:
    """What `bench` tells the shop's others of the open jobs of its log; damaged ones are left out."""
    with plain_errors(store.path), reading(store.engine) as connection:
        ids = People(connection).all_ids()
    return tuple(job_for_shop(job, state, ids, bench) for job, state in _open_jobs(store, now, {})[0])


def _open_jobs(
    store: SqliteEventStore, now: Moment, promises: Mapping[str, Promise]
) -> tuple[list[tuple[TodayJob, JobState]], list[str]]:
    """The open jobs with their states, and the ids of those that cannot be read."""
    jobs, damaged = list[tuple[TodayJob, JobState]](), list[str]()
    for header in store.jobs():
        if header.open:
            try:
                jobs.append(_job(store, store.events(header.id), promises.get(header.id), now))
            except DamagedLogError:
                damaged.append(header.id)
    return jobs, damaged


def _job(
    store: SqliteEventStore, history: tuple[Recorded, ...], promise: Promise | None, now: Moment
) -> tuple[TodayJob, JobState]:
    state = fold(history)
    experience = experience_now(state, inputs_for_job(state.opened, store), store)
    return today_job(state, Told(history[-1].bench, experience, promise.due if promise else None), now), state
