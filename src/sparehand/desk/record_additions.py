"""What is added at the desk to the record of a job, open or closed: nothing of it is edited."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from sparehand.desk.job_desk import JobDesk, job_on_desk
from sparehand.ground.choices import one_of
from sparehand.ground.errors import InputError
from sparehand.job.events import (
    ConditionsSeen,
    Corrosion,
    DistanceUnit,
    Event,
    OldPartKept,
    OrderNoted,
    PartNumberNoted,
    Payer,
    PayerChosen,
    PracticeMarked,
    ReworkLinked,
    Support,
)
from sparehand.job.state import JobState
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.timesheet import job_times, timesheet
from sparehand.procedures.model import Side


@dataclass(frozen=True)
class Amendment:
    """What the command line says about a job; `parts` are written as PART=NUMBER, `payers` as OPERATION=WHO.

    `side` is where the parts of `parts` and `kept` are.
    """

    complaint: str = ""
    cause: str = ""
    correction: str = ""
    parts: tuple[str, ...] = ()
    kept: tuple[str, ...] = ()
    rework_of: str | None = None
    corrosion: str | None = None
    support: str | None = None
    odometer: int | None = None
    practice: bool = False
    payers: tuple[str, ...] = ()
    side: str | None = None


def amend_job(job: str, amendment: Amendment, by: str | None, data: Path | None) -> None:
    """Add to the record of a job. Raises InputError for a part that it does not have, or where nothing is said."""
    with job_on_desk(job, by, data) as desk:
        added = tuple(_events(amendment, desk))
        if not added:
            raise InputError(f"nothing to add to job {desk.id}; give --cause, --correction, --part or another option")
        desk.add(*added)
        state = desk.state
        if state.progress.closed:
            desk.store.times.keep(job_times(state, timesheet(state)))
    print(f"Job {desk.id}: {len(added)} added by {desk.who}. See: sparehand card {desk.id}")


def order_events(
    complaint: str, rework_of: str | None, store: SqliteEventStore, *, practice: bool = False
) -> tuple[Event, ...]:
    """What is known of a job when it begins. Raises InputError for an earlier job that there is none of."""
    noted = (OrderNoted(about="complaint", words=complaint),) if complaint else ()
    linked = (ReworkLinked(job=store.find_job(rework_of)),) if rework_of else ()
    marked = (PracticeMarked(),) if practice else ()
    return (*noted, *linked, *marked)


def _events(amendment: Amendment, desk: JobDesk) -> Iterator[Event]:
    state = desk.state
    yield from order_events(amendment.complaint, amendment.rework_of, desk.store, practice=amendment.practice)
    yield from _conditions(amendment, desk.distance_unit)
    if amendment.cause:
        yield OrderNoted(about="cause", words=amendment.cause)
    if amendment.correction:
        yield OrderNoted(about="correction", words=amendment.correction)
    side = _side(amendment.side, state)
    for written in amendment.parts:
        part, _, number = written.partition("=")
        if not number:
            raise InputError(f"'{written}' is no part with its number; write PART=NUMBER, such as joint=CV-4107")
        yield PartNumberNoted(part=_known(part, state), number=number, side=side)
    for written in amendment.payers:
        operation, _, who = written.partition("=")
        if operation not in state.plan.operations:
            there = ", ".join(state.plan.operations)
            raise InputError(f"this job has no operation '{operation}'; write OPERATION=WHO, of: {there}")
        yield PayerChosen(payer=one_of(who, Payer, "the payer"), operation=operation)
    for part in amendment.kept:
        yield OldPartKept(part=_known(part, state), side=side)


def _conditions(amendment: Amendment, unit: DistanceUnit | None) -> Iterator[Event]:
    corrosion: Corrosion | None = None
    support: Support | None = None
    if amendment.corrosion is not None:
        corrosion = one_of(amendment.corrosion, Corrosion, "the corrosion")
    if amendment.support is not None:
        support = one_of(amendment.support, Support, "the support")
    if corrosion or support or amendment.odometer is not None:
        read = None if amendment.odometer is None else unit
        yield ConditionsSeen(corrosion=corrosion, support=support, odometer=amendment.odometer, odometer_unit=read)


def _side(given: str | None, state: JobState) -> Side | None:
    if given is None:
        return None
    side: Side = one_of(given, Side, "the side")
    if side not in state.plan.sides:
        there = ", ".join(state.plan.sides)
        raise InputError(f"this job is not on the {side}; " + (f"it is on: {there}" if there else "leave --side away"))
    return side


def _known(part: str, state: JobState) -> str:
    parts = [known.id for known in state.plan.procedure.parts]
    if part not in parts:
        raise InputError(f"this job has no part '{part}'; it has: {', '.join(parts) or 'none'}")
    return part
