"""Putting the hours of a job right at the desk: each correction is an event, and what was recorded first stays."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import chain
from pathlib import Path
from typing import get_args

from rich.console import Console
from rich.table import Table

from sparehand.conversation.session import JobSession
from sparehand.ground.choices import number_in, one_of
from sparehand.ground.clock import LiveClock, Moment
from sparehand.ground.errors import InputError
from sparehand.ground.ids import new_run_id
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.terminal import new_console
from sparehand.job.answering.answer_here import phase_title
from sparehand.job.events import HoldReason, TimeCorrected
from sparehand.job.forgotten_phases import all_noticed, put_right
from sparehand.job.state import JobState, fold
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.timesheet import job_times, timesheet
from sparehand.procedures.plan import PhaseKey
from sparehand.procedures.wording import duration_shown
from sparehand.screens.hours_tables import timesheet_table
from sparehand.settings import load_settings
from sparehand.shop.earlier_jobs import shop_experience, shop_lessons
from sparehand.shop.shop_belief import inputs_for_job
from sparehand.times.job_times import PhaseTime


@dataclass(frozen=True)
class Desk:
    """A job on the desk: its log, its session there, the present moment, and where to ask."""

    store: SqliteEventStore
    session: JobSession
    now: Moment
    console: Console

    @property
    def state(self) -> JobState:
        """The job as it stands."""
        return self.session.state


def correct_hours(job: str | None, data: Path | None) -> None:
    """Ask what to count elsewhere until nothing more is named, then show the timesheet.

    Raises InputError for an answer that names nothing there is, FailureError where the job is open in another window.
    """
    if job is None:
        raise InputError("hours --correct wants a job; see `sparehand hours` for those there are")
    folder = data_folder(data)
    settings = load_settings(folder)
    store = SqliteEventStore(folder / LOG_FILE)
    id = store.find_job(job)
    with store.claim(id):
        session = JobSession(store, fold(store.events(id)), settings.bench)
        desk = Desk(store, session, LiveClock(new_run_id()).now(), new_console())
        for correction in chain(_of_forgotten_words(desk), _as_told(desk)):
            _record(desk, correction)
        desk.console.print(timesheet_table(timesheet(desk.state), desk.state.plan.procedure))


def _of_forgotten_words(desk: Desk) -> Iterator[TimeCorrected]:
    """What the times themselves tell was forgotten, where the person at the desk says yes."""
    experience = shop_experience(
        desk.state.opened, inputs_for_job(desk.state.opened, desk.store), shop_lessons(desk.store)
    )
    for word in all_noticed(desk.state, desk.state.ledger.latest, experience):
        moves = put_right(desk.state, word, desk.state.ledger.latest, experience)
        corrections = [move for move in moves if isinstance(move, TimeCorrected)]
        if corrections and _agrees(desk, corrections):
            yield from corrections


def _agrees(desk: Desk, corrections: list[TimeCorrected]) -> bool:
    for one in corrections:
        desk.console.print(f"Probably forgotten: {words_of(desk.state, one)}")
    return desk.console.input("Count it so (yes or no): ").strip().lower() in ("y", "yes")


def words_of(state: JobState, correction: TimeCorrected) -> str:
    """A correction in words."""
    moved = duration_shown(correction.milliseconds / 1000)
    target = phase_title(state, correction.to_phase)
    held = f" on hold for {correction.hold or 'a reason not said'}" if correction.counted_as == "hold" else ""
    return f"{moved} of {correction.technician} from {phase_title(state, correction.phase)} to {target}{held}"


def _as_told(desk: Desk) -> Iterator[TimeCorrected]:
    """What the person at the desk names, row by row, until an empty answer."""
    while True:
        rows = timesheet(desk.state).phases
        _show(desk, rows)
        source = _ask_row(desk, "From which row (empty ends): ", rows)
        if source is None:
            return
        to = desk.console.input("To which row, or hold and its reason: ").strip()
        minutes = _minutes(desk.console.input("How many minutes: "), source)
        why = desk.console.input("Why: ").strip()
        yield _correction(source, to, rows, minutes, why)


def _correction(source: PhaseTime, to: str, rows: tuple[PhaseTime, ...], minutes: float, why: str) -> TimeCorrected:
    place = PhaseKey(source.phase, source.side)
    if to.startswith("hold"):
        reason: HoldReason = one_of(to.removeprefix("hold").strip(), HoldReason, "the reason")
        target, counted_as, hold = place, "hold", reason
    else:
        row = _row(to, rows)
        target, counted_as, hold = PhaseKey(row.phase, row.side), "work", None
    return TimeCorrected.model_validate(
        {
            "technician": source.technician,
            "phase": place,
            "milliseconds": round(minutes * 60_000),
            "to_phase": target,
            "counted_as": counted_as,
            "hold": hold,
            "why": why,
        }
    )


def _show(desk: Desk, rows: tuple[PhaseTime, ...]) -> None:
    table = Table("row", "phase", "technician", "worked", box=None)
    for number, row in enumerate(rows, start=1):
        title = phase_title(desk.state, PhaseKey(row.phase, row.side))
        table.add_row(str(number), title, row.technician, duration_shown(row.work_seconds))
    desk.console.print(table)
    desk.console.print(f"Reasons of a hold: {', '.join(get_args(HoldReason))}.")


def _ask_row(desk: Desk, question: str, rows: tuple[PhaseTime, ...]) -> PhaseTime | None:
    try:
        given = desk.console.input(question).strip()
    except EOFError:
        return None
    return _row(given, rows) if given else None


def _row(given: str, rows: tuple[PhaseTime, ...]) -> PhaseTime:
    number = number_in(given, 1, len(rows))
    if number is None:
        raise InputError(f"'{given}' is no row of 1 to {len(rows)}; nothing more was changed")
    return rows[number - 1]


def _minutes(given: str, source: PhaseTime) -> float:
    try:
        minutes = float(given)
    except ValueError as error:
        raise InputError(f"'{given.strip()}' is no number of minutes; nothing more was changed") from error
    if not 0 < minutes * 60 <= source.work_seconds:
        most = f"{source.work_seconds / 60:.1f}"
        raise InputError(f"{minutes:g} min were not worked there, only {most} min; nothing more was changed")
    return minutes


def _record(desk: Desk, correction: TimeCorrected) -> None:
    """The event, and the times that the estimates see; without those a kill in between leaves them to be told anew."""
    closed = desk.state.progress.closed is not None
    if closed:
        desk.store.times.drop(desk.state.job)
    desk.session.amend((correction,), desk.now)
    if closed:
        desk.store.times.keep(job_times(desk.state, timesheet(desk.state)))
