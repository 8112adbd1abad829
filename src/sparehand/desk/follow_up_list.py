"""What is due over all jobs: listed, given a date, distance or meter hours, and ticked with a result."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from sparehand.desk.job_desk import JobDesk, job_on_desk, unit_of
from sparehand.ground.errors import InputError
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.terminal import new_console
from sparehand.job.events import By, FollowUpDone, FollowUpScheduled
from sparehand.job.open_follow_ups import follow_ups_of
from sparehand.job.visit_lines import FollowUpNote
from sparehand.log.sqlite import SqliteEventStore
from sparehand.shop.follow_ups import DueFollowUp, follow_ups_of_log

UNDATED_DAYS = 60
"""So long a follow-up without a date is listed; `--all` lists the older ones too."""


@dataclass(frozen=True)
class DueWhen:
    """When a follow-up is due, as the command line says it."""

    on: str | None = None
    distance: float | None = None
    unit: str | None = None
    hours: float | None = None


def print_due(*, everything: bool, as_json: bool, data: Path | None) -> None:
    """The follow-ups of all jobs, what is overdue first; damaged jobs are named and keep nobody from the rest."""
    from pydantic import TypeAdapter

    from sparehand.screens.due_table import due_table

    today = date.today()
    found, damaged = due_of(data_folder(data), today, everything=everything)
    if as_json:
        adapter = TypeAdapter(DueFollowUp)
        for one in found:
            print(adapter.dump_json(one).decode())
    else:
        new_console().print(due_table(found))
    for job in damaged:
        new_console(stderr=True).print(f"job {job} is damaged and left out; see `sparehand log verify {job}`")


def due_of(folder: Path, today: date, *, everything: bool = False) -> tuple[tuple[DueFollowUp, ...], list[str]]:
    """What is due over all jobs of a data folder, and the ids of jobs that cannot be read."""
    store = SqliteEventStore(folder / LOG_FILE, read_only=True)
    since = None if everything else today - timedelta(days=UNDATED_DAYS)
    found, damaged = follow_ups_of_log(store, today, since)
    return tuple(one for one in found if since is None or _worth_a_row(one, since)), damaged


def schedule(job: str, follow_up: str, when: DueWhen, words: str, by: str | None, data: Path | None) -> None:
    """Give a follow-up of a job a date, distance or meter hours; one with new words is added to the job.

    Raises InputError for a follow-up that the job does not have, a date that is none, and where nothing is said.
    """
    if when.on is None and when.distance is None and when.hours is None:
        raise InputError("nothing says when it is due; give --on DATE, --distance NUMBER or --hours NUMBER")
    with job_on_desk(job, by, data) as desk:
        unit = unit_of(when.unit, desk) if when.distance is not None else None
        id = follow_up if words else _known(desk, follow_up).id
        event = FollowUpScheduled(
            follow_up=id,
            words=words,
            due_on=_date(when.on),
            due_distance=when.distance,
            distance_unit=unit,
            due_hours=when.hours,
        )
        desk.add(event)
    print(f"Job {desk.id}: {id} is written down by {desk.who}. See: sparehand due")


def tick(job: str, follow_up: str, result: str, by: str | None, data: Path | None) -> None:
    """A follow-up was done; says so."""
    print(ticked(job, follow_up, result, by, data_folder(data)))


def ticked(job: str, follow_up: str, result: str, by: str | None, folder: Path, made_with: By | None = None) -> str:
    """A follow-up was done; gives a line about it.

    Raises InputError for one that the job does not have, or that was done already.
    """
    with job_on_desk(job, by, folder, made_with) as desk:
        note = _known(desk, follow_up)
        if note.done_on:
            raise InputError(f"job {desk.id}: {note.id} was done on {note.done_on:%Y-%m-%d} already")
        desk.add(FollowUpDone(follow_up=note.id, result=result))
    return f"Job {desk.id}: {note.id} is done, written down by {desk.who}."


def _worth_a_row(one: DueFollowUp, since: date) -> bool:
    return one.standing in ("overdue", "due", "later") or (one.standing == "no date" and one.opened_on >= since)


def _known(desk: JobDesk, follow_up: str) -> FollowUpNote:
    notes = {note.id: note for note in follow_ups_of(desk.state)}
    if follow_up not in notes:
        known = ", ".join(notes) or "none"
        raise InputError(f"job {desk.id} has no follow-up '{follow_up}'; it has: {known}; `due set --words` adds one")
    return notes[follow_up]


def _date(given: str | None) -> date | None:
    if given is None:
        return None
    try:
        return date.fromisoformat(given)
    except ValueError as error:
        raise InputError(f"'{given}' is no date; write YYYY-MM-DD, such as 2026-12-24") from error
