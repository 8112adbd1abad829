"""When each job of a day is likely ready, and how likely each promise is kept: a simulation of the order. Pure."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from statistics import NormalDist

import numpy as np

from sparehand.visit.attendance import ALWAYS, LEAST, Attendance, Staff, alike
from sparehand.visit.day_order import DayOrder, OrderJob, Place, best_order, in_sequence
from sparehand.visit.estimate import SheetRecord
from sparehand.visit.joint_hours import Floats, JobHours, joint_draws
from sparehand.visit.open_time import OpenTime

DRAWS, SEED = 8_000, 20_261_129
PLANNED_SHARE = 0.6
"""The order is made with times that this share of runs stays below; the forecast then takes all of their spread."""
SLOT_HOURS = (0.1, 0.2, 0.25, 0.5, 1.0)
MOST_CHOICES = 9_000
"""Slots are made so wide that the order has at most about so many choices."""
EARLY = 0.002
"""What it costs to be ready at the end of the plan rather than at once, where no promise is touched."""
AT_RISK = 0.8
NINE_IN_TEN = NormalDist().inv_cdf(0.9)


@dataclass(frozen=True)
class Wait:
    """The chance that a job is held, and the lognormal hours it waits then: its median and what 9 in 10 stay below."""

    chance: float
    median_hours: float
    p90_hours: float


@dataclass(frozen=True)
class DayJob:
    """A job of the day. `hours` is its forecast; `promised` and `release` are open hours from the plan's moment.

    `technicians` and `bays` are the numbers of those it may have. A job that `runs` is in work now.
    """

    name: str
    hours: JobHours
    release: float = 0.0
    promised: float | None = None
    promised_at: datetime | None = None
    technicians: frozenset[int] = frozenset({0})
    bays: frozenset[int] = frozenset()
    wait: Wait | None = None
    runs: bool = False


class JobForecast(SheetRecord):
    """A job of the day: who, where, from about when, and when it is ready in 50 and 90 of 100 cases.

    `chance` is that of keeping the promise; `late_minutes` of opening hours by which 90 of 100 cases miss it at
    most (0: they keep it).
    """

    name: str
    technician: str
    bay: str
    starts: datetime
    ready_half: datetime
    ready_most: datetime
    promised: datetime | None = None
    chance: float | None = None
    at_risk: bool = False
    late_minutes: float = 0.0


class DayForecast(SheetRecord):
    """The day in the order that keeps most promises; `as_listed` is how many the order of the file keeps on average.

    `proven` says that no order keeps more by the planned times.
    """

    at: datetime
    jobs: tuple[JobForecast, ...]
    promises: int
    kept: float
    as_listed: float
    proven: bool
    besides: tuple[str, ...] = ()


@dataclass(frozen=True)
class DayBook:
    """The jobs of a day with the names behind their numbers, and the clock of the opening hours.

    `besides` tells what the plan does not know: technicians who are at work on other jobs.
    """

    at: datetime
    jobs: tuple[DayJob, ...]
    technicians: tuple[str, ...]
    bays: tuple[str, ...]
    clock: OpenTime
    besides: tuple[str, ...] = ()
    attendances: tuple[Attendance, ...] = ()
    """When each technician works, in open hours; empty: always."""


def forecast_day(book: DayBook, seconds: float = 4.0) -> DayForecast:
    """The forecast of the day in its best order, sought for so many seconds at most."""
    orders, staff = order_jobs(book.jobs, book.attendances)
    best, listed = best_order(orders, seconds, staff), in_sequence(orders, range(len(orders)), staff)
    played, played_listed = (
        simulate(book.jobs, order.places, book.technicians, book.attendances) for order in (best, listed)
    )
    if _kept(book.jobs, played_listed[0]) > _kept(book.jobs, played[0]):
        best, played = replace(listed, proven=False), played_listed
    ready, starts = played
    rows = tuple(_row(book, number, best, ready[:, number], starts[:, number]) for number in range(len(book.jobs)))
    return DayForecast(
        at=book.at,
        jobs=tuple(sorted(rows, key=lambda row: (row.starts, row.name))),
        promises=sum(job.promised is not None for job in book.jobs),
        kept=_kept(book.jobs, ready),
        as_listed=_kept(book.jobs, played_listed[0]),
        proven=best.proven,
        besides=book.besides,
    )


def order_jobs(jobs: Sequence[DayJob], attendances: Sequence[Attendance] = ()) -> tuple[tuple[OrderJob, ...], Staff]:
    """The jobs in slots, and who works in which.

    Each is as long as planned, and costs the chance that its promise is missed from each start on.
    """
    for slot in SLOT_HOURS:
        staff = Staff([each.on_clock(slot) for each in attendances])
        listed = _in_slots(jobs, slot, 1, attendances)
        places = in_sequence(listed, range(len(jobs)), staff).places
        ends = (
            staff.end(staff.kind(at.technician), at.start, job.slots) for at, job in zip(places, listed, strict=True)
        )
        count = 1 + max(*ends, *(int((job.promised or 0.0) / slot) for job in jobs))
        if _choices(jobs, staff) * count <= MOST_CHOICES:
            break
    return _in_slots(jobs, slot, count, attendances), staff


def _choices(jobs: Sequence[DayJob], staff: Staff) -> int:
    """How many groups of technicians, and of bays by kind of technician, each job may have, over all jobs."""
    technicians, bays = [job.technicians for job in jobs], [job.bays for job in jobs]
    of_bays = sum(len(staff.kinds(job.technicians)) for group in alike(bays) for job in jobs if group[0] in job.bays)
    return of_bays + sum(group[0] in used for group in alike(technicians, staff, attended=True) for used in technicians)


def _in_slots(
    jobs: Sequence[DayJob], slot: float, count: int, attendances: Sequence[Attendance]
) -> tuple[OrderJob, ...]:
    """Jobs as long as planned, each begun in one of `count` slots of so many hours, rounded up."""
    kinds = tuple(dict.fromkeys(attendances)) or (ALWAYS,)
    planned = [max(0.1, float(np.quantile(job.hours.draws, PLANNED_SHARE))) for job in jobs]
    return tuple(
        OrderJob(
            slots=int(np.ceil(length / slot - 1e-9)),
            release=int(np.ceil(job.release / slot - 1e-9)),
            technicians=job.technicians,
            bays=job.bays,
            cost=np.array([_costs(job, slot * np.arange(count, dtype=np.float64), each) for each in kinds]),
            runs=job.runs,
        )
        for job, length in zip(jobs, planned, strict=True)
    )


def simulate(
    jobs: Sequence[DayJob],
    places: Sequence[Place],
    technicians: Sequence[str],
    attendances: Sequence[Attendance] = (),
    draws: int = DRAWS,
    seed: int = SEED,
) -> tuple[Floats, Floats]:
    """When each job is ready and when it begins, in open hours, shape (draws, jobs) each.

    Each technician and each bay takes its jobs in the order of the plan, the next one as soon as both are free. A wait
    keeps the vehicle and its bay, not the technician; while a technician is away, the work stands still.
    """
    named = [replace(job.hours, person=technicians[place.technician]) for job, place in zip(jobs, places, strict=True)]
    hours = joint_draws(named, draws, seed)
    waits = _waits(jobs, draws, seed + 1)
    free: dict[tuple[str, int], Floats] = defaultdict(lambda: np.zeros(draws))
    ready, starts = np.empty_like(hours), np.empty_like(hours)
    for number in sorted(range(len(jobs)), key=lambda each: (places[each].start, each)):
        who, where = ("technician", places[number].technician), ("bay", places[number].bay)
        begins = np.maximum(free[who], jobs[number].release)
        if places[number].bay >= 0:
            begins = np.maximum(begins, free[where])
        attends = attendances[who[1]] if attendances else ALWAYS
        starts[:, number] = begins = attends.present(begins)
        free[who] = attends.done(begins, hours[:, number])
        ready[:, number] = free[where] = free[who] + waits[:, number]
    return ready, starts


def _waits(jobs: Sequence[DayJob], draws: int, seed: int) -> Floats:
    rng = np.random.default_rng(seed)
    waits = np.zeros((draws, len(jobs)))
    for number, job in enumerate(jobs):
        held, scores = rng.random(draws), rng.standard_normal(draws)
        if job.wait is not None:
            sd = np.log(job.wait.p90_hours / job.wait.median_hours) / NINE_IN_TEN
            waits[:, number] = np.where(held < job.wait.chance, job.wait.median_hours * np.exp(sd * scores), 0.0)
    return waits


def _costs(job: DayJob, starts: Floats, attends: Attendance) -> Floats:
    """The chance that the promise is missed, beginning then, and a little for each slot before it."""
    late = np.zeros(len(starts))
    if job.promised is not None:
        time = attends.worked(np.array([job.promised])) - attends.worked(starts)
        late = 1 - np.searchsorted(job.hours.draws, time + LEAST, side="right") / len(job.hours.draws)
    costs: Floats = late + EARLY * np.arange(len(starts)) / len(starts)
    return costs


def _kept(jobs: Sequence[DayJob], ready: Floats) -> float:
    """How many promises are kept on average."""
    return float(sum(_chance(job, ready[:, number]) for number, job in enumerate(jobs) if job.promised is not None))


def _chance(job: DayJob, ready: Floats) -> float:
    return float(np.mean(ready <= (job.promised or 0.0)))


def _row(book: DayBook, number: int, order: DayOrder, ready: Floats, starts: Floats) -> JobForecast:
    job, place = book.jobs[number], order.places[number]
    half, most = (book.clock.moment_after(float(np.quantile(ready, share))) for share in (0.5, 0.9))
    chance = None if job.promised is None else _chance(job, ready)
    return JobForecast(
        name=job.name,
        technician=book.technicians[place.technician],
        bay=book.bays[place.bay] if place.bay >= 0 else "",
        starts=book.clock.moment_after(float(np.median(starts)), to_begin=True),
        ready_half=half,
        ready_most=most,
        promised=job.promised_at,
        chance=chance,
        at_risk=chance is not None and chance < AT_RISK,
        late_minutes=60 * max(0.0, float(np.quantile(ready, 0.9)) - job.promised) if job.promised is not None else 0.0,
    )
