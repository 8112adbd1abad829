"""The pages for the desk, each from the log and the files of a data folder."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from pathlib import Path
from typing import get_args

from sparehand.desk.estimate_decisions import month_of, stored_estimate
from sparehand.desk.estimating import EstimateOptions, keep_estimate
from sparehand.desk.follow_up_list import due_of
from sparehand.desk.promise_list import outcomes_of
from sparehand.desk.quoting import QuoteOptions, labour_page
from sparehand.ground.clock import LiveClock
from sparehand.ground.errors import InputError, SparehandError
from sparehand.ground.ids import new_run_id
from sparehand.job.events import Corrosion, Support
from sparehand.screens.desk_page import Cell, DeskContent, DeskTable, FormField, Row, desk_page
from sparehand.visit.calibration import calibration
from sparehand.visit.estimate import Customer

PLAN_FILE = "day.toml"
TODAY_SECONDS = 60
NO_PLAN = f"There is no {PLAN_FILE} in the data folder. The manual's page about visits shows how to write one."

Fields = Mapping[str, str]
Made = DeskContent | str
"""What a page holds, or a whole page that stands alone."""


def made_page(place: str, fields: Fields, folder: Path, *, to_make: bool) -> tuple[int, str]:
    """A page with its HTTP status, or 303 with where to look; `to_make`: the request may write something down."""
    now = datetime.now().astimezone()
    try:
        if place not in _PAGES:
            raise InputError(f"there is no page '{place}' at the desk")
        if to_make:
            return 303, _make_estimate(fields, folder)
        made = _PAGES[place](fields, folder, now)
    except SparehandError as error:
        problem = DeskContent(place, "That did not work", lines=(str(error),), is_problem=True)
        return 400, desk_page(problem, now)
    return 200, made if isinstance(made, str) else desk_page(made, now)


def _today(_fields: Fields, folder: Path, now: datetime) -> Made:
    from sparehand.desk.today_board import today_of
    from sparehand.screens.today_table import cells, unanswered_words

    today = today_of(folder, LiveClock(new_run_id()).now())
    tables = [
        DeskTable(bench, ("job", "vehicle", "who", "now", "waits for", "ready"), _marked(bench_jobs))
        for bench in dict.fromkeys(job.bench for job in today.jobs)
        if (bench_jobs := [(cells(job, now), job.over_range) for job in today.jobs if job.bench == bench])
    ]
    lines = () if today.jobs else ("No job is open.",)
    return DeskContent(
        "today",
        "Today",
        (*lines, *map(unanswered_words, today.unanswered), *map(_damaged, today.damaged)),
        tuple(tables),
        refresh_seconds=TODAY_SECONDS,
    )


def _day(_fields: Fields, folder: Path, _now: datetime) -> Made:
    from sparehand.desk.day_planning import day_of
    from sparehand.screens.day_plot import day_plot
    from sparehand.screens.day_table import COLUMNS, day_cells, day_lines

    file = folder / PLAN_FILE
    if not file.exists():
        return DeskContent("day", "Day", (NO_PLAN,))
    _, day = day_of(file, folder, LiveClock(new_run_id()).now())
    rows = _marked([(day_cells(row, day.at), row.at_risk) for row in day.jobs])
    title = f"Day, as of {day.at:%Y-%m-%d %H:%M}"
    return DeskContent("day", title, day_lines(day), (DeskTable("In this order", COLUMNS, rows),), day_plot(day))


def _due(_fields: Fields, folder: Path, now: datetime) -> Made:
    from sparehand.screens.due_table import vehicle_words, when_words

    found, damaged = due_of(folder, now.date())
    rows = [
        (
            (one.standing, when_words(one), one.note.words, vehicle_words(one), one.job),
            one.standing in ("overdue", "due"),
        )
        for one in found
    ]
    table = DeskTable("Over all jobs", ("stands", "due", "what", "vehicle", "job"), _marked(rows))
    lines = (*(() if found else ("Nothing is due.",)), *map(_damaged, damaged))
    return DeskContent("due", "Due", lines, (table,) if found else ())


def _estimates(fields: Fields, folder: Path, now: datetime) -> Made:
    if fields.get("id"):
        return _estimate_of(fields["id"], folder)
    month = fields.get("month") or f"{now:%Y-%m}"
    given = month_of(month, folder)
    before = f"{datetime.strptime(month, '%Y-%m') - timedelta(days=1):%Y-%m}"
    rows = tuple(
        Row(
            (
                Cell(one.id, f"/desk/estimates?id={one.id}"),
                Cell(one.given),
                Cell(one.vehicle),
                Cell(one.outcome),
                Cell(str(one.hours)),
                Cell("" if one.total is None else f"{one.total} {one.currency}"),
            )
        )
        for one in given
    )
    table = DeskTable(f"Given in {month}", ("estimate", "given", "vehicle", "outcome", "hours", "total"), rows)
    earlier = DeskTable("Another month", ("month",), (Row((Cell(before, f"/desk/estimates?month={before}"),)),))
    return DeskContent("estimates", "Estimates", (), (table, earlier), fields=_FORM, button="Make an estimate")


def _estimate_of(id: str, folder: Path) -> Made:
    from sparehand.screens.estimate_page import estimate_page

    sheet = stored_estimate(id, folder).sheet
    if sheet is None:
        raise InputError(f"estimate {id}: its prices and customer are blanked, being past keeping")
    return estimate_page(sheet)


def _make_estimate(fields: Fields, folder: Path) -> str:
    """Where the estimate is that was made and written down."""
    customer = Customer(fields.get("vehicle", ""), fields.get("plate", ""), fields.get("complaint", ""))
    asked = EstimateOptions(
        work=_named(fields.get("work", "")),
        sides=fields.get("sides", ""),
        technician=fields.get("technician") or None,
        corrosion=fields.get("corrosion") or "none",
        support=fields.get("support") or "lift",
        customer=customer,
    )
    return f"/desk/estimates?id={keep_estimate(asked, folder).id}"


def _labour(fields: Fields, folder: Path, now: datetime) -> Made:
    if fields.get("procedure"):
        return labour_page(QuoteOptions(_named(fields["procedure"])), folder)
    from sparehand.procedures.library import list_procedures
    from sparehand.screens.day_table import BAND_COLUMNS, band_cells

    reports = tuple(
        Row((Cell(each.procedure.id, f"/desk/labour?procedure={each.procedure.id}"), Cell(each.procedure.title)))
        for each in list_procedures(folder)
    )
    tables = [DeskTable("Labour report of a procedure", ("procedure", "title"), reports)]
    bands = calibration(outcomes_of(folder, now))
    if bands:
        rows = [(band_cells(band), False) for band in bands]
        tables.append(DeskTable("Promises: stated chances and what happened", BAND_COLUMNS, _marked(rows)))
    return DeskContent("labour", "Labour", tables=tuple(tables))


def _named(work: str) -> str:
    """Work by the ids of procedures. Raises InputError for a path: no page opens files of this machine."""
    if "/" in work or "\\" in work or "." in work:
        raise InputError(f"'{work}' is no work for this page; name procedures by their ids")
    return work


def _marked(rows: Sequence[tuple[tuple[str, ...], bool]]) -> tuple[Row, ...]:
    return tuple(Row(tuple(map(Cell, cells)), marked) for cells, marked in rows)


def _damaged(job: str) -> str:
    return f"Job {job} is damaged and left out; see `sparehand log verify {job}`."


_FORM = (
    FormField("work", "Work: PROCEDURE or PROCEDURE:OPERATION, several with commas", needed=True),
    FormField("sides", "Sides: left, right, front, rear"),
    FormField("vehicle", "Vehicle"),
    FormField("plate", "Plate"),
    FormField("complaint", "What the customer says"),
    FormField("technician", "Technician, if it is to be for one"),
    FormField("corrosion", "Corrosion", get_args(Corrosion)),
    FormField("support", "Stands on", get_args(Support)),
)
_PAGES: Mapping[str, Callable[[Fields, Path, datetime], Made]] = {
    "today": _today,
    "day": _day,
    "due": _due,
    "estimates": _estimates,
    "labour": _labour,
}
