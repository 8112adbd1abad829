"""A day planned from a file: forecasts of its jobs gathered, the day foretold and shown, its promises written down."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from functools import lru_cache
from hashlib import blake2b
from pathlib import Path

import numpy as np

from sparehand.desk.estimate_hours import Circumstances, ShopHours
from sparehand.desk.estimate_work import pieces_of
from sparehand.ground.clock import LiveClock, Moment
from sparehand.ground.errors import InputError
from sparehand.ground.ids import new_run_id
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.plurals import how_many
from sparehand.ground.terminal import new_console
from sparehand.job.answering.answer_remaining import time_left
from sparehand.job.events import Corrosion, Support
from sparehand.job.state import JobState, fold
from sparehand.labour.fitting.holds import Delay
from sparehand.labour.forecasting.between_jobs import common_variance
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.visit_records import VisitRecords
from sparehand.procedures.model import Side
from sparehand.screens.today_table import at_words
from sparehand.settings import load_settings
from sparehand.sharing.read_shop_copy import shop_copy_open_jobs
from sparehand.shop.follow_ups import read_states
from sparehand.shop.offers import experience_now
from sparehand.shop.shop_belief import inputs_for_job
from sparehand.times.time_left import FOUR_IN_FIVE, TimeLeft
from sparehand.visit.attendance import ALWAYS, Attendance, attendance
from sparehand.visit.day_forecast import DayBook, DayForecast, DayJob, Wait, forecast_day
from sparehand.visit.day_plan import DayPlan, OpenSpan, PlannedJob, load_plan
from sparehand.visit.joint_hours import Floats, JobHours
from sparehand.visit.open_time import OpenTime
from sparehand.visit.records import Promise, promise_record

DRAWS, SEED = 4_000, 20_261_130
NOTHING_LEFT_HOURS = 0.05
MOST_OPEN_HOURS = 2_000.0


def print_day(file: Path, *, promise: bool, as_json: bool, data: Path | None) -> None:
    """The day of a plan, on screen or as JSON; with `promise` its promised times go into the log with their chances."""
    from sparehand.screens.day_table import day_table

    folder = data_folder(data)
    now = LiveClock(new_run_id()).now()
    plan, forecast = day_of(file, folder, now)
    if as_json:
        print(forecast.model_dump_json())
    else:
        new_console().print(day_table(forecast))
    if promise:
        count = keep_promises(plan, forecast, folder, now.wall)
        new_console(stderr=as_json).print(f"{how_many(count, 'promise')} written down. See: sparehand promises")


def day_of(file: Path, folder: Path, now: Moment) -> tuple[DayPlan, DayForecast]:
    """The plan of a file and its forecast. Raises InputError for what is wrong in the plan."""
    plan, at = load_plan(file, now.wall)
    store = SqliteEventStore(folder / LOG_FILE, read_only=True)
    return plan, forecast_day(_Gathering(plan, at, store, folder, now).book())


def keep_promises(plan: DayPlan, forecast: DayForecast, folder: Path, made_at: datetime) -> int:
    """Write each promised time down with its chance; gives how many."""
    store = SqliteEventStore(folder / LOG_FILE)
    planned = {job.name: job for job in plan.job}
    promises = [
        Promise(
            planned=_subject(row.name, row.promised),
            made_at=made_at,
            due=row.promised,
            chance=row.chance,
            job=store.find_job(planned[row.name].job) if planned[row.name].job else None,
            plate=planned[row.name].plate or None,
        )
        for row in forecast.jobs
        if row.promised is not None and row.chance is not None
    ]
    who = load_settings(folder).technician or "the desk"
    VisitRecords(store.engine, store.path).add([promise_record(one, who) for one in promises])
    return len(promises)


def _subject(name: str, due: datetime) -> str:
    """What is the same whenever the same promise is stated again, and tells nobody's name."""
    return blake2b(f"{name} {due.isoformat()}".encode(), digest_size=6).hexdigest()


class _Gathering:
    """The forecasts of the jobs of a plan, each kind of work quoted once."""

    def __init__(self, plan: DayPlan, at: datetime, store: SqliteEventStore, folder: Path, now: Moment) -> None:
        self._plan, self._at, self._now = plan, at, now
        self._store, self._folder = store, folder
        self._clock = OpenTime(_pairs(plan.open), at, MOST_OPEN_HOURS)
        self._quoted = lru_cache(maxsize=None)(self._quote)
        self._running: dict[str, str] = {}

    def book(self) -> DayBook:
        """All jobs with what limits them."""
        jobs = tuple(self._open_job(job) if job.job else self._new_job(job) for job in self._plan.job)
        besides = tuple(self._besides())
        attends = tuple(map(self._attendance, self._plan.technicians)) if self._plan.hours or self._plan.off else ()
        return DayBook(self._at, jobs, self._plan.technicians, self._plan.bays, self._clock, besides, attends)

    def _attendance(self, name: str) -> Attendance:
        """When a technician works, in open hours."""
        own = [span for span in self._plan.hours if span.technician == name]
        away = [span for span in self._plan.off if span.technician == name]
        if not own and not away:
            return ALWAYS
        clock = OpenTime(_pairs(own), self._at, MOST_OPEN_HOURS) if own else self._clock
        until = self._clock.hours_until
        leaves = [(until(span.begins), until(span.until)) for span in away]
        return attendance(self._clock.spans_of(clock), leaves, MOST_OPEN_HOURS)

    def _besides(self) -> Iterator[str]:
        """Who of the plan is at work on a job that the plan does not have. A damaged job keeps nobody from planning."""
        planned = {self._store.find_job(job.job) for job in self._plan.job if job.job}
        others = (header.id for header in self._store.jobs() if header.open and header.id not in planned)
        for state in read_states(self._store, others)[0]:
            for name in _at_work(state):
                if name in self._plan.technicians:
                    yield f"{name} is at work on job {state.job}, which the plan does not have."
        for other in shop_copy_open_jobs(self._folder):
            for name, stopped in other.people:
                if name in self._plan.technicians and not stopped and other.standing == "working":
                    told = at_words(other.heard, self._now.wall)
                    yield f"{name} was at work on a job of bench '{other.bench}' as of {told}."

    def _new_job(self, job: PlannedJob) -> DayJob:
        hours, wait = self._quoted(job.work, job.sides, job.technician, job.corrosion, job.support)
        return self._job(job, hours, job.technician, wait, runs=False)

    def _open_job(self, job: PlannedJob) -> DayJob:
        state = self._state(job)
        inputs = inputs_for_job(state.opened, self._store)
        silent = state.ledger.latest
        left = time_left(state, silent, experience_now(state, inputs, self._store))
        at_work = _at_work(state)
        who = job.technician or next((name for name in at_work if name in self._plan.technicians), "")
        runs = who in at_work and job.parts_at is None
        if runs:
            self._claim(job, who)
        common = common_variance(inputs.belief, who or None)
        return self._job(job, JobHours(_draws(left), common.shop, common.person), who, None, runs=runs)

    def _state(self, job: PlannedJob) -> JobState:
        id = self._store.find_job(job.job)
        state = fold(self._store.events(id))
        if state.progress.closed:
            raise InputError(f"job '{job.name}': {id} is closed; take it out of the plan")
        return state

    def _claim(self, job: PlannedJob, who: str) -> None:
        """Raises InputError where a technician or a bay is in use by another job that runs."""
        for what in (f"technician '{who}'", *([f"bay '{job.bay}'"] if job.bay else [])):
            if what in self._running:
                other = self._running[what]
                raise InputError(
                    f"job '{job.name}': {what} is used twice, by it and by '{other}', which are both in work now; "
                    "name another, or say `parts_at` for the one that waits"
                )
            self._running[what] = job.name

    def _job(self, job: PlannedJob, hours: JobHours, who: str, wait: Wait | None, *, runs: bool) -> DayJob:
        everybody, bays = self._plan.technicians, self._plan.bays
        return DayJob(
            name=job.name,
            hours=hours,
            release=self._clock.hours_until(job.parts_at) if job.parts_at else 0.0,
            promised=self._clock.hours_until(job.promised) if job.promised else None,
            promised_at=job.promised,
            technicians=frozenset([everybody.index(who)] if who else range(len(everybody))),
            bays=frozenset([bays.index(job.bay)] if job.bay else range(len(bays))),
            wait=wait,
            runs=runs,
        )

    def _quote(
        self, work: str, sides: tuple[Side, ...], technician: str, corrosion: Corrosion, support: Support
    ) -> tuple[JobHours, Wait | None]:
        asked = Circumstances(",".join(sides), technician or None, corrosion, support, 0.5, None)
        hours, delay = ShopHours(asked, self._store, self._folder).forecast(pieces_of(work, self._store, self._folder))
        return hours, _wait(delay)


def _pairs(spans: Sequence[OpenSpan]) -> list[tuple[datetime, datetime]]:
    return [(span.begins, span.until) for span in spans]


def _at_work(state: JobState) -> list[str]:
    return [one.name for one in state.progress.crew.members if not one.hold and not state.progress.parked]


def _wait(delay: Delay | None) -> Wait | None:
    if delay is None or delay.median_hours is None or delay.p90_hours is None:
        return None
    return Wait(delay.chance, delay.median_hours, delay.p90_hours)


def _draws(left: TimeLeft | None) -> Floats:
    """Sorted hours of what is left of a job: lognormal by its median and its four-in-five range."""
    if left is None:
        return np.full(DRAWS, NOTHING_LEFT_HOURS)
    sd = np.log(left.p90_minutes / left.p10_minutes) / (2 * FOUR_IN_FIVE)
    scores = np.random.default_rng(SEED).standard_normal(DRAWS)
    drawn: Floats = np.sort(left.median_minutes / 60 * np.exp(sd * scores))
    return drawn
