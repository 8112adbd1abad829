"""The timesheet of a job and the list of jobs, as tables for the terminal."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from typing import TYPE_CHECKING

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from sparehand.ground.terminal import printable

if TYPE_CHECKING:
    from sparehand.log.store import JobHeader
    from sparehand.procedures.model import Procedure
    from sparehand.times.job_times import PersonTime, PhaseTime, Timesheet


def hours_minutes_seconds(seconds: int) -> str:
    """Whole seconds as h:mm:ss."""
    return f"{seconds // 3600}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"


def conserved(parts: Iterable[float]) -> tuple[int, ...]:
    """Each part in whole seconds so that any run of them from the first adds up to its own rounded total.

    Every part is off by less than a second, and one that is nothing stays nothing.
    """
    exact, shown, rounded = 0.0, 0, []
    for part in parts:
        exact += part
        rounded.append(round(exact) - shown)
        shown = round(exact)
    return tuple(rounded)


def timesheet_table(sheet: Timesheet, procedure: Procedure | None = None, left_out: str = "") -> RenderableType:
    """Work, holds and snags by phase and side, the totals, and where all the elapsed time went.

    `left_out` says why the times do not count for estimates.
    """
    held = ", ".join(hold_words(sheet))
    lines = [f"held for: {held}"] if held else []
    lines += [balance_words(sheet), *person_lines(sheet), *correction_lines(sheet, procedure)]
    if left_out:
        lines.append(f"does not count for estimates: {left_out}; change that with `sparehand times let-in {sheet.job}`")
    elif not all(row.complete for row in sheet.phases):
        lines.append("estimates take each phase that is not complete as longer than its time here")
    return Group(_phases(sheet, procedure), *(_cell(f"  {line}") for line in lines))


def jobs_table(jobs: Sequence[JobHeader]) -> RenderableType:
    """The list of jobs, the newest first."""
    if not jobs:
        return Text("There is no job yet; begin one with `sparehand work`.")
    table = Table(box=box.SIMPLE, title="Jobs", title_justify="left")
    for name in ("job", "opened", "procedure", "vehicle", "technician", ""):
        table.add_column(name, overflow="fold")
    for job in reversed(jobs):
        opened = f"{job.opened_at:%Y-%m-%d %H:%M}"
        state = "open" if job.open else "closed"
        state += f"; does not count: {job.left_out}" if job.left_out else ""
        table.add_row(*map(_cell, (job.id, opened, job.procedure, job.vehicle, job.technician, state)))
    return table


def phase_title(phase: str, procedure: Procedure | None) -> str:
    """The title of a phase by its id; the id where the procedure does not know it."""
    titles = {known.id: known.title for known in procedure.phases} if procedure else {}
    return titles.get(phase, phase)


def snag_words(row: PhaseTime) -> str:
    """The snags of a phase with their time, such as "seized 0:12:30"; one entry a kind."""
    kinds = dict.fromkeys(snag.kind for snag in row.snags)
    totals = {kind: sum(snag.seconds for snag in row.snags if snag.kind == kind) for kind in kinds}
    return ", ".join(f"{kind} {hours_minutes_seconds(round(total))}" for kind, total in totals.items())


def hold_words(sheet: Timesheet) -> tuple[str, ...]:
    """The time held for each reason, such as "parts 0:40:00"."""
    seconds = conserved(hold.seconds for hold in sheet.holds)
    return tuple(f"{hold.reason} {hours_minutes_seconds(one)}" for hold, one in zip(sheet.holds, seconds, strict=True))


def person_lines(sheet: Timesheet) -> tuple[str, ...]:
    """Who worked on the job; where several did, the hours of each, which are all of the time they were on it."""
    if len(sheet.people) < 2:
        return (f"by {', '.join(sheet.technicians)}",)
    return tuple(f"{person.technician} {balance_words(person)}" for person in sheet.people)


def correction_lines(sheet: Timesheet, procedure: Procedure | None) -> tuple[str, ...]:
    """What was put right, so that the figures can be told from what was recorded first."""
    return tuple(
        f"put right: {hours_minutes_seconds(round(one.seconds))} of {one.technician} from "
        f"{_phase_and_side(one.from_phase, one.from_side, procedure)} to "
        f"{_phase_and_side(one.to_phase, one.to_side, procedure)}"
        f"{', as held' if one.counted_as == 'hold' else ''}{f' ({one.why})' if one.why else ''}"
        for one in sheet.corrections
    )


def _phase_and_side(phase: str, side: str | None, procedure: Procedure | None) -> str:
    title = phase_title(phase, procedure)
    return f"{title}, {side}" if side else title


def balance_words(sheet: Timesheet | PersonTime) -> str:
    """The sum that must come out: work, hold and gap are all of the elapsed time."""
    work, held, gap = conserved((sheet.work_seconds, sheet.held_seconds, sheet.gap_seconds))
    shown = (hours_minutes_seconds(part) for part in (work, held, gap, work + held + gap))
    return "worked {} + held {} + gap {} = elapsed {}".format(*shown)


def _phases(sheet: Timesheet, procedure: Procedure | None) -> Table:
    title = f"Job {sheet.job}, {'open' if sheet.open else 'closed'}, opened {sheet.opened_at:%Y-%m-%d %H:%M}"
    table = Table(box=box.SIMPLE, title=Text(title), title_justify="left", show_footer=True)
    columns = _columns(sheet, procedure)
    work = conserved(row.work_seconds for row in sheet.phases)
    held = conserved(row.held_seconds for row in sheet.phases)
    table.add_column("phase", footer="total", overflow="fold")
    for name, _ in columns:
        table.add_column(name)
    table.add_column("worked", footer=hours_minutes_seconds(sum(work)), justify="right", no_wrap=True)
    table.add_column("held", footer=hours_minutes_seconds(sum(held)), justify="right", no_wrap=True)
    table.add_column("of the work, snags", overflow="fold")
    table.add_column("complete")
    for row, worked, waited in zip(sheet.phases, work, held, strict=True):
        cells = [phase_title(row.phase, procedure), *(of(row) for _, of in columns)]
        cells += [hours_minutes_seconds(worked), hours_minutes_seconds(waited), snag_words(row)]
        table.add_row(*map(_cell, (*cells, "yes" if row.complete else "no")))
    return table


def _cell(text: str) -> Text:
    """Text as it is: its brackets are no styles, its control characters no commands."""
    return Text(printable(text))


def _columns(sheet: Timesheet, procedure: Procedure | None) -> list[tuple[str, Callable[[PhaseTime], str]]]:
    """Side and technician, where they tell anything apart."""
    columns: list[tuple[str, Callable[[PhaseTime], str]]] = []
    if any(row.side for row in sheet.phases) or (procedure and procedure.sides):
        columns.append(("side", lambda row: row.side or ""))
    if len(sheet.technicians) > 1:
        columns.append(("technician", lambda row: row.technician))
    return columns
