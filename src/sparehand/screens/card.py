"""The job card: one HTML file that stands alone and prints, with what was done, found, left and worked."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sparehand.ground.plurals import how_many
from sparehand.job import events as e
from sparehand.job.events import Recorded
from sparehand.job.state import JobState
from sparehand.procedures.model import Procedure
from sparehand.screens.card_content import card_content
from sparehand.screens.card_fasteners import with_side
from sparehand.screens.card_notes import ReadPicture
from sparehand.screens.hours_tables import (
    balance_words,
    conserved,
    correction_lines,
    hold_words,
    hours_minutes_seconds,
    person_lines,
    phase_title,
    snag_words,
)
from sparehand.screens.pages import page_template
from sparehand.times.job_times import Timesheet

_DAY_AND_TIME = "%Y-%m-%d %H:%M"


@dataclass(frozen=True)
class HoursRow:
    """The time of one technician in one phase on one side, as shown."""

    phase: str
    technician: str
    worked: str
    held: str
    snags: str
    complete: bool


def job_card(
    state: JobState, sheet: Timesheet, history: Sequence[Recorded], picture: ReadPicture = lambda _: None
) -> str:
    """The card of a job as HTML. `history` tells who decided what when, and how much was taken back."""
    opened, procedure = state.opened, state.plan.procedure
    closed_at = next((one.at.wall for one in reversed(history) if isinstance(one.event, e.JobClosed)), None)
    page = page_template("card.html.j2")
    return page.render(
        job=state.job,
        status=_status(state),
        procedure=procedure,
        plans=_plans(state),
        vehicle=state.vehicle,
        practice=state.progress.practice,
        complaint=state.progress.order.get("complaint", opened.complaint),
        cause=state.progress.order.get("cause", ""),
        correction=state.progress.order.get("correction", ""),
        rework_of=state.rework_of,
        sides=state.plan.sides,
        technicians=sheet.technicians,
        opened=f"{state.opened_at.wall:{_DAY_AND_TIME}}",
        closed=f"{closed_at:{_DAY_AND_TIME}}" if closed_at and state.progress.closed else "",
        as_of=f"{state.ledger.latest.wall:{_DAY_AND_TIME}}",
        worked=f"{sheet.work_seconds / 3600:.2f} h",
        content=card_content(state, history, picture),
        hours=_hours(state, sheet),
        holds=hold_words(sheet),
        balance=balance_words(sheet),
        people=person_lines(sheet),
        corrections=correction_lines(sheet, state.plan.procedure),
        record=_record(history),
    )


def _plans(state: JobState) -> tuple[tuple[Procedure, str], ...]:
    """The procedures of the job, each with the checksum of its file."""
    joined = ((one.procedure, one.sha256) for one in state.progress.joined)
    return ((state.opened.procedure, state.opened.procedure_sha256), *joined)


def _status(state: JobState) -> str:
    if state.progress.closed:
        return "closed"
    if state.progress.parked:
        return "open, parked"
    return f"open, on hold for {state.progress.hold}" if state.progress.hold else "open"


def _hours(state: JobState, sheet: Timesheet) -> tuple[HoursRow, ...]:
    work = conserved(row.work_seconds for row in sheet.phases)
    held = conserved(row.held_seconds for row in sheet.phases)
    return tuple(
        HoursRow(
            phase=with_side(phase_title(row.phase, state.plan.procedure), row.side),
            technician=row.technician,
            worked=hours_minutes_seconds(worked),
            held=hours_minutes_seconds(waited),
            snags=snag_words(row),
            complete=row.complete,
        )
        for row, worked, waited in zip(sheet.phases, work, held, strict=True)
    )


def _record(history: Sequence[Recorded]) -> str:
    taken_back = sum(isinstance(one.event, e.Undone) for one in history)
    benches = ", ".join(dict.fromkeys(one.bench for one in history))
    entries = how_many(len(history), "entry", "entries")
    return f"Record: {entries} at {benches}, {taken_back} of them taking something back."
