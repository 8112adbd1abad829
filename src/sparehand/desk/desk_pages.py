"""The pages for the desk, each from the log and the files of a data folder."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from pathlib import Path
from urllib.parse import urlencode

from sparehand.desk.estimate_pages import Fields, estimates_page, named_work, unanswered_table, write_estimate
from sparehand.desk.follow_up_list import due_of, ticked
from sparehand.desk.promise_list import outcomes_of
from sparehand.desk.quoting import QuoteOptions, labour_page
from sparehand.ground.clock import LiveClock
from sparehand.ground.errors import InputError, SparehandError
from sparehand.ground.ids import new_run_id
from sparehand.screens.desk_page import Cell, DeskContent, DeskTable, FormField, Made, Row, desk_page
from sparehand.shop.follow_ups import DueFollowUp
from sparehand.visit.calibration import calibration

PLAN_FILE = "day.toml"
TODAY_SECONDS = 60
NO_PLAN = f"There is no {PLAN_FILE} in the data folder. The manual's page about visits shows how to write one."


def made_page(place: str, fields: Fields, folder: Path, *, to_make: bool, beside_bay: bool = False) -> tuple[int, str]:
    """A page with its HTTP status, or 303 with where to look.

    `to_make`: the request may write something down. `beside_bay`: the bay page is on the same server.
    """
    now = datetime.now().astimezone()
    try:
        if place not in (_FORMS if to_make else _PAGES):
            raise InputError(f"there is no page '{place}' at the desk{' that takes a form' if to_make else ''}")
        if to_make:
            return 303, _FORMS[place](fields, folder)
        made = _PAGES[place](fields, folder, now)
    except SparehandError as error:
        problem = DeskContent(place, "That did not work", lines=(str(error),), is_problem=True)
        return 400, desk_page(problem, now, beside_bay=beside_bay)
    return 200, made if isinstance(made, str) else desk_page(made, now, beside_bay=beside_bay)


def _today(_fields: Fields, folder: Path, now: datetime) -> Made:
    from sparehand.desk.today_board import today_of
    from sparehand.screens.today_table import cells

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
        (*lines, *map(_damaged, today.damaged)),
        (*tables, *([unanswered_table(today.unanswered)] if today.unanswered else [])),
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


def _due(fields: Fields, folder: Path, now: datetime) -> Made:
    from sparehand.screens.due_table import vehicle_words, when_words

    found, damaged = due_of(folder, now.date())
    if fields.get("job"):
        return _tick_form(fields, found)
    rows = tuple(
        Row(
            (
                *map(Cell, (one.standing, when_words(one), one.note.words, vehicle_words(one), one.job)),
                Cell("done", f"/desk/due?{urlencode({'job': one.job, 'what': one.note.id})}"),
            ),
            one.standing in ("overdue", "due"),
        )
        for one in found
    )
    table = DeskTable("Over all jobs", ("stands", "due", "what", "vehicle", "job", ""), rows)
    lines = (*(() if found else ("Nothing is due.",)), *map(_damaged, damaged))
    return DeskContent("due", "Due", lines, (table,) if found else ())


def _tick_form(fields: Fields, found: Sequence[DueFollowUp]) -> DeskContent:
    job, what = fields["job"], fields.get("what", "")
    lines = tuple(one.note.words for one in found if (one.job, one.note.id) == (job, what))
    if not lines:
        raise InputError(f"job {job} has no follow-up '{what}' that is to be done")
    asked = (
        *(FormField(name, "", value=value) for name, value in (("job", job), ("what", what))),
        FormField("result", "Its result"),
        FormField("by", "Who writes this down"),
    )
    return DeskContent("due", f"Follow-up of job {job}", lines, fields=asked, button="It was done")


def _write_tick(fields: Fields, folder: Path) -> str:
    """Where to look after a follow-up was ticked."""
    job, what, result = (fields.get(name, "") for name in ("job", "what", "result"))
    ticked(job, what, result, fields.get("by") or None, folder, "page")
    return "/desk/due"


def _labour(fields: Fields, folder: Path, now: datetime) -> Made:
    if fields.get("procedure"):
        return labour_page(QuoteOptions(named_work(fields["procedure"])), folder)
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


def _marked(rows: Sequence[tuple[tuple[str, ...], bool]]) -> tuple[Row, ...]:
    return tuple(Row(tuple(map(Cell, cells)), marked) for cells, marked in rows)


def _damaged(job: str) -> str:
    return f"Job {job} is damaged and left out; see `sparehand log verify {job}`."


_FORMS: Mapping[str, Callable[[Fields, Path], str]] = {"due": _write_tick, "estimates": write_estimate}
_PAGES: Mapping[str, Callable[[Fields, Path, datetime], Made]] = {
    "today": _today,
    "day": _day,
    "due": _due,
    "estimates": estimates_page,
    "labour": _labour,
}
