"""What became of promises: kept, missed or still open, and how the chances that were stated then compare. Pure."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Literal

from sparehand.log.job_search import plate_key
from sparehand.visit.estimate import SheetRecord
from sparehand.visit.records import Promise

BANDS = (0.0, 0.5, 0.7, 0.8, 0.9, 1.0)
EARLIER, LATER = timedelta(hours=12), timedelta(days=7)
"""A job of the vehicle counts if it was opened from so long before the promise to so long after it was due.

One that was closed when the promise was made is another job.
"""


@dataclass(frozen=True)
class JobEnd:
    """A job of the log: the plate it was opened with, when, and when it was closed (None: it is open)."""

    job: str
    plate: str
    opened_at: datetime
    closed_at: datetime | None
    procedure: str = ""


class PromiseOutcome(SheetRecord):
    """A promise with what became of it; `job` is None where no job of the vehicle was found."""

    plate: str
    made_at: datetime
    due: datetime
    chance: float
    job: str | None
    ready_at: datetime | None
    procedure: str
    outcome: Literal["kept", "missed", "open"]


class Band(SheetRecord):
    """The promises whose stated chance lay in a band: how many, what was to be expected, and how many were kept.

    `expected` promises were to be kept, give or take `sd`, had the chances been right.
    """

    low: float
    high: float
    promises: int
    expected: float
    sd: float
    kept: int


def promise_outcomes(promises: Sequence[Promise], jobs: Sequence[JobEnd], now: datetime) -> tuple[PromiseOutcome, ...]:
    """What became of each promise, as it was stated last, in the order of the due moments."""
    latest = {promise.planned: promise for promise in promises}
    return tuple(_outcome(one, jobs, now) for one in sorted(latest.values(), key=lambda one: one.due))


def calibration(outcomes: Sequence[PromiseOutcome]) -> tuple[Band, ...]:
    """Stated chances against what happened, band by band; promises that are still open do not count."""
    bands = []
    for low, high in pairwise(BANDS):
        inside = [one for one in outcomes if one.outcome != "open" and low <= one.chance < high + (high == 1)]
        chances = [one.chance for one in inside]
        bands.append(
            Band(
                low=low,
                high=high,
                promises=len(inside),
                expected=math.fsum(chances),
                sd=math.sqrt(math.fsum(chance * (1 - chance) for chance in chances)),
                kept=sum(one.outcome == "kept" for one in inside),
            )
        )
    return tuple(band for band in bands if band.promises)


def _outcome(promise: Promise, jobs: Sequence[JobEnd], now: datetime) -> PromiseOutcome:
    job = _job_of(promise, jobs)
    ready = job.closed_at if job else None
    outcome: Literal["kept", "missed", "open"] = "open"
    if ready is not None:
        outcome = "kept" if ready <= promise.due else "missed"
    elif job is not None and now > promise.due:
        outcome = "missed"
    return PromiseOutcome(
        plate=promise.plate or "",
        made_at=promise.made_at,
        due=promise.due,
        chance=promise.chance,
        job=job.job if job else None,
        ready_at=ready,
        procedure=job.procedure if job else "",
        outcome=outcome,
    )


def _job_of(promise: Promise, jobs: Sequence[JobEnd]) -> JobEnd | None:
    """The job that a promise names, or the first one of the vehicle around then."""
    if promise.job:
        return next((job for job in jobs if job.job == promise.job), None)
    plate = plate_key(promise.plate or "")
    around = (
        job
        for job in sorted(jobs, key=lambda job: job.opened_at)
        if plate and plate_key(job.plate) == plate
        if promise.made_at - EARLIER <= job.opened_at <= promise.due + LATER
        if job.closed_at is None or job.closed_at > promise.made_at
    )
    return next(around, None)
