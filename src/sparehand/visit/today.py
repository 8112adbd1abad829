"""Where each open job is now: who works on it, what it waits for, and when it is likely ready. Pure."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from sparehand.ground.bounds import name_in_bounds
from sparehand.ground.clock import Moment
from sparehand.job.answering.answer_here import phase_title
from sparehand.job.answering.answer_remaining import time_left, worked_seconds
from sparehand.job.experience import Experience
from sparehand.job.extra_work import waiting
from sparehand.job.state import JobState
from sparehand.sharing.open_job import MOST_OF_JOB, OpenJob, Standing
from sparehand.sharing.summaries import name_in_shop
from sparehand.times.time_left import TimeLeft
from sparehand.visit.estimate import SheetRecord

SILENT = timedelta(minutes=5)
"""A bench that runs writes every minute; after so long a silence it is off, and nobody knows what is done there."""


class PersonToday(SheetRecord):
    """One technician on a job, and what for that one has stopped; empty while working."""

    name: str
    stopped_for: str


class TodayJob(SheetRecord):
    """An open job as it stands.

    `ready_half` and `ready_most` are when it is ready in 50 and 90 of 100 cases, if work goes on without a pause; None
    where nobody works on it. `work_left` are labour hours: the median, and what 9 in 10 stay below. `over_range` says
    that the present phase has taken longer than in 9 of 10 jobs. `shared_at` is when another bench of the shop told of
    it last, without vehicle and promise; None for a job of this log.
    """

    job: str
    bench: str
    vehicle: str
    plate: str
    procedure: str
    standing: Standing
    people: tuple[PersonToday, ...]
    phase: str
    phase_minutes: float
    over_range: bool
    waits_for: tuple[str, ...]
    work_left: tuple[float, float] | None
    ready_half: datetime | None
    ready_most: datetime | None
    promised: datetime | None
    last_heard: datetime
    shared_at: datetime | None = None


@dataclass(frozen=True)
class Told:
    """What is known of an open job besides its state."""

    bench: str
    experience: Experience
    promised: datetime | None = None


def today_job(state: JobState, told: Told, now: Moment) -> TodayJob:
    """The job as it stands at `now`, or as it stood when its bench was last heard."""
    off = now.wall - state.ledger.latest.wall > SILENT
    at = state.ledger.latest if off else now
    key = state.progress.at.at
    minutes = worked_seconds(state, at).get(key, 0.0) / 60
    expected = told.experience.expected(key)
    left = time_left(state, at, told.experience)
    standing = _standing(state, off)
    working = sum(member.hold is None for member in state.progress.crew.members)
    ready = _ready(now.wall, left, working) if standing == "working" else None
    return TodayJob(
        job=state.job,
        bench=told.bench,
        vehicle=state.vehicle.name,
        plate=state.vehicle.identification,
        procedure=state.plan.procedure.title,
        standing=standing,
        people=tuple(PersonToday(name=one.name, stopped_for=one.hold or "") for one in state.progress.crew.members),
        phase=phase_title(state, key),
        phase_minutes=minutes,
        over_range=expected is not None and minutes > expected.p90_minutes,
        waits_for=tuple(_waits_for(state)),
        work_left=(left.median_minutes / 60, left.p90_minutes / 60) if left else None,
        ready_half=ready[0] if ready else None,
        ready_most=ready[1] if ready else None,
        promised=told.promised,
        last_heard=state.ledger.latest.wall,
    )


def job_for_shop(job: TodayJob, state: JobState, ids: Mapping[str, str], bench: str) -> OpenJob:
    """What `bench` tells the shop's others of a job: nothing of its customer, and people by their ids."""
    return OpenJob(
        name=job.job,
        bench=bench,
        procedure=state.plan.procedure.id,
        standing=job.standing,
        people=tuple((ids[one.name], one.stopped_for) for one in job.people if one.name in ids)[:MOST_OF_JOB],
        phase=name_in_bounds(job.phase),
        phase_minutes=job.phase_minutes,
        over_range=job.over_range,
        waits_for=tuple(map(name_in_bounds, _waits_for(state, references=False)))[:MOST_OF_JOB],
        hours_left=job.work_left,
        heard=job.last_heard,
    )


def job_of_shop(job: OpenJob, now: datetime) -> TodayJob:
    """A job of another bench; one that has not been heard of for some minutes may be anywhere by now."""
    standing = "bench off" if job.standing == "working" and now - job.heard > SILENT else job.standing
    working = sum(not stopped for _, stopped in job.people)
    left = TimeLeft(0.0, *(60 * hours for hours in job.hours_left)) if job.hours_left else None
    ready = _ready(job.heard, left, working) if standing == "working" else None
    return TodayJob(
        job=name_in_shop(job.name, job.bench, imported=False),
        bench=job.bench,
        vehicle="",
        plate="",
        procedure=job.procedure,
        standing=standing,
        people=tuple(PersonToday(name=name, stopped_for=stopped) for name, stopped in job.people),
        phase=job.phase,
        phase_minutes=job.phase_minutes,
        over_range=job.over_range,
        waits_for=job.waits_for,
        work_left=job.hours_left,
        ready_half=ready[0] if ready else None,
        ready_most=ready[1] if ready else None,
        promised=None,
        last_heard=job.heard,
        shared_at=job.heard,
    )


def _standing(state: JobState, off: bool) -> Standing:
    if state.progress.parked:
        return "parked"
    if all(member.hold for member in state.progress.crew.members):
        return "on hold"
    return "bench off" if off else "working"


def _ready(now: datetime, left: TimeLeft | None, working: int) -> tuple[datetime, datetime] | None:
    if left is None:
        return (now, now)
    half, most = (timedelta(minutes=each / max(1, working)) for each in (left.median_minutes, left.p90_minutes))
    return now + half, now + most


def _waits_for(state: JobState, *, references: bool = True) -> Iterator[str]:
    reasons = dict.fromkeys(member.hold for member in state.progress.crew.members if member.hold)
    yield from (str(reason) for reason in reasons)
    proposed = waiting(state)
    if proposed:
        yield f"an answer about {state.plan.procedure.operation(proposed).title}"
    for line in state.progress.visit.lines:
        if line.runs:
            yield f"{line.work}{f' {line.reference}' if line.reference and references else ''}"
