"""What became of estimates: approved, declined or changed, and afterwards approved, sold and worked hours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sparehand.conversation.session import amend
from sparehand.ground.clock import LiveClock
from sparehand.ground.errors import InputError
from sparehand.ground.ids import new_run_id
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.terminal import new_console
from sparehand.job.events import By, EstimateApproved, PayerChosen
from sparehand.job.state import JobState, fold
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.timesheet import timesheet
from sparehand.log.visit_records import ESTIMATE_DECIDED, ESTIMATE_GIVEN, VisitRecords, find_subject
from sparehand.settings import load_settings
from sparehand.visit.month import MonthRow, month_rows
from sparehand.visit.records import Outcome, StoredEstimate, approved_hours, decided_record, stored_estimates
from sparehand.visit.sold import PayerHours, payer_hours


@dataclass(frozen=True)
class Decided:
    """What became of an estimate, as it was said: `by` whom (None: the settings say) and `made_with` what."""

    estimate: str
    outcome: Outcome
    jobs: Sequence[str] = ()
    by: str | None = None
    made_with: By | None = None


def decide_estimate(estimate: str, outcome: Outcome, jobs: Sequence[str], by: str | None, data: Path | None) -> None:
    """Record what became of an estimate, and say so."""
    print(record_decision(Decided(estimate, outcome, jobs, by), data_folder(data)))


def record_decision(decided: Decided, folder: Path) -> str:
    """Record what became of an estimate, and what was approved in the log of each job of it; gives a line about it.

    Raises InputError for an estimate or job that there is none of, and for a job that is closed.
    """
    settings = load_settings(folder)
    store = SqliteEventStore(folder / LOG_FILE)
    records = VisitRecords(store.engine, store.path)
    found = _named(decided.estimate, records)
    if decided.outcome == "declined" and decided.jobs:
        raise InputError(f"estimate {found.id}: a declined estimate has no job; leave the job away")
    who, now = decided.by or settings.technician or "the desk", LiveClock(new_run_id()).now()
    states = [_open_job(store, job, found) for job in decided.jobs]
    for state in states:
        with store.claim(state.job):
            for event in _approvals(found, state):
                amend(store, state.job, event, who, settings.bench, now, decided.made_with)
    told = decided_record(found.id, decided.outcome, [state.job for state in states], now.wall, who, decided.made_with)
    records.add([told])
    return f"Estimate {found.id}: {decided.outcome}, written down by {who}."


def jobs_for(estimate: StoredEstimate, folder: Path) -> tuple[str, ...]:
    """The open jobs into whose logs the estimate may go."""
    procedures = {row.procedure for row in estimate.labour}
    jobs = SqliteEventStore(folder / LOG_FILE, read_only=True).jobs()
    return tuple(job.id for job in jobs if job.open and job.procedure in procedures)


def print_estimates(month: str | None, *, as_json: bool, data: Path | None) -> None:
    """The estimates of a month (this one where none is named). Raises InputError for a month that is none."""
    from sparehand.screens.estimate_tables import month_table

    named = month or f"{datetime.now():%Y-%m}"
    rows = month_of(named, data_folder(data))
    if as_json:
        for row in rows:
            print(row.model_dump_json())
        return
    new_console().print(month_table(named, rows))


def month_of(month: str, folder: Path) -> tuple[MonthRow, ...]:
    """The estimates of a month, with the hours of their closed jobs. Raises InputError for a month that is none."""
    try:
        datetime.strptime(month, "%Y-%m")
    except ValueError as error:
        raise InputError(f"'{month}' is no month; write YYYY-MM, such as 2026-11") from error
    store = SqliteEventStore(folder / LOG_FILE, read_only=True)
    estimates = stored_estimates(VisitRecords(store.engine, store.path).of_kind(ESTIMATE_GIVEN, ESTIMATE_DECIDED))
    there = {header.id for header in store.jobs() if not header.open}
    wanted = {job for one in estimates for job in one.jobs if f"{one.given_at:%Y-%m}" == month}
    return month_rows(month, estimates, {job: hours_of(store, job) for job in sorted(wanted & there)})


def hours_of(store: SqliteEventStore, job: str) -> tuple[PayerHours, ...]:
    """Approved, sold and worked hours of a job by payer."""
    state = fold(store.events(job))
    return payer_hours(state, timesheet(state))


def stored_estimate(estimate: str, folder: Path) -> StoredEstimate:
    """An estimate of the log in `folder`. Raises InputError where there is none, or more than one begins so."""
    store = SqliteEventStore(folder / LOG_FILE, read_only=True)
    return _named(estimate, VisitRecords(store.engine, store.path))


def _named(estimate: str, records: VisitRecords) -> StoredEstimate:
    estimates = {one.id: one for one in stored_estimates(records.of_kind(ESTIMATE_GIVEN, ESTIMATE_DECIDED))}
    return estimates[find_subject(estimate, list(estimates), "estimate")]


def _open_job(store: SqliteEventStore, job: str, estimate: StoredEstimate) -> JobState:
    state = fold(store.events(store.find_job(job)))
    if state.progress.closed:
        raise InputError(f"job {state.job} is closed; an estimate is approved for a job that is open, or without --job")
    procedures = {row.procedure for row in estimate.labour if row.procedure}
    if state.plan.procedure.id not in procedures:
        raise InputError(
            f"estimate {estimate.id} is about {', '.join(sorted(procedures))}, job {state.job} about "
            f"{state.plan.procedure.id}; name the job of one of those"
        )
    return state


def _approvals(estimate: StoredEstimate, state: JobState) -> tuple[EstimateApproved | PayerChosen, ...]:
    rows = tuple(row for row in approved_hours(estimate) if row.procedure in ("", state.plan.procedure.id))
    payers = (PayerChosen(payer=row.payer, operation=row.operation) for row in rows if row.procedure)
    return (EstimateApproved(estimate=estimate.id, approved=rows), *payers)
