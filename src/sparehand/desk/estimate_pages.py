"""The desk's pages about estimates: a month of them, the sheet, a form that makes one, and one for its outcome."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import datetime, timedelta
from pathlib import Path
from typing import get_args

from sparehand.desk.estimate_decisions import Decided, jobs_for, month_of, record_decision, stored_estimate
from sparehand.desk.estimating import EstimateOptions, keep_estimate
from sparehand.ground.choices import one_of
from sparehand.ground.errors import InputError
from sparehand.job.events import Corrosion, Support
from sparehand.screens.desk_page import Cell, DeskContent, DeskTable, FormField, Made, Row
from sparehand.screens.estimate_tables import PAYER_COLUMNS, payer_cells
from sparehand.screens.today_table import unanswered_words
from sparehand.visit.estimate import Customer
from sparehand.visit.month import MonthRow
from sparehand.visit.records import Outcome, StoredEstimate
from sparehand.visit.sold import added_up

Fields = Mapping[str, str]
COLUMNS = ("estimate", "given", "vehicle", "outcome", "hours", "total")


def estimates_page(fields: Fields, folder: Path, now: datetime) -> Made:
    """A month, or with `id` the sheet, or with `answer` the form for what became of one."""
    if fields.get("answer"):
        return _answer_form(stored_estimate(fields["answer"], folder), folder)
    if fields.get("id"):
        return _sheet(fields["id"], folder)
    month = fields.get("month") or f"{now:%Y-%m}"
    given = month_of(month, folder)
    payers = added_up(each for one in given for each in one.by_payer)
    before = f"{datetime.strptime(month, '%Y-%m') - timedelta(days=1):%Y-%m}"
    earlier = DeskTable("Another month", ("month",), (Row((Cell(before, f"/desk/estimates?month={before}"),)),))
    hours = DeskTable(
        "Hours of closed jobs", PAYER_COLUMNS, tuple(Row(tuple(map(Cell, payer_cells(one)))) for one in payers)
    )
    month_table = DeskTable(f"Given in {month}", COLUMNS, tuple(map(_month_row, given)))
    tables = (month_table, *([hours] if payers else []), earlier)
    return DeskContent("estimates", "Estimates", (), tables, fields=_FORM, button="Make an estimate")


def write_estimate(fields: Fields, folder: Path) -> str:
    """Where to look after an estimate was made, or after what became of one was written down."""
    if not fields.get("estimate"):
        return f"/desk/estimates?id={_made(fields, folder)}"
    jobs = (fields["job"],) if fields.get("job") else ()
    outcome = one_of(fields.get("outcome", ""), Outcome, "the outcome")
    record_decision(Decided(fields["estimate"], outcome, jobs, fields.get("by") or None, "page"), folder)
    return "/desk/estimates"


def unanswered_table(unanswered: tuple[StoredEstimate, ...]) -> DeskTable:
    """Estimates that nobody has answered, each with the way to its answer."""
    rows = (Row((Cell(unanswered_words(one), _answer_link(one.id)),)) for one in unanswered)
    return DeskTable("Estimates without an answer", ("estimate",), tuple(rows))


def named_work(work: str) -> str:
    """Work by the ids of procedures. Raises InputError for a path: no page opens files of this machine."""
    if "/" in work or "\\" in work or "." in work:
        raise InputError(f"'{work}' is no work for this page; name procedures by their ids")
    return work


def _month_row(one: MonthRow) -> Row:
    total = "" if one.total is None else f"{one.total} {one.currency}"
    return Row(
        (
            Cell(one.id, f"/desk/estimates?id={one.id}"),
            Cell(one.given),
            Cell(one.vehicle),
            Cell(one.outcome, _answer_link(one.id)),
            Cell(str(one.hours)),
            Cell(total),
        )
    )


def _answer_link(estimate: str) -> str:
    return f"/desk/estimates?answer={estimate}"


def _answer_form(found: StoredEstimate, folder: Path) -> DeskContent:
    was = found.outcome or "no answer yet"
    fields = (
        FormField("estimate", "", value=found.id),
        FormField("outcome", "What became of it", ("", *get_args(Outcome)), needed=True),
        FormField("job", "Into the log of an open job; empty for none", ("", *jobs_for(found, folder))),
        FormField("by", "Who writes this down"),
    )
    lines = (f"Given on {found.given_at:%Y-%m-%d}, so far: {was}. The latest answer counts.",)
    return DeskContent("estimates", f"Answer to estimate {found.id}", lines, fields=fields, button="Write it down")


def _sheet(id: str, folder: Path) -> str:
    from sparehand.screens.estimate_page import estimate_page

    sheet = stored_estimate(id, folder).sheet
    if sheet is None:
        raise InputError(f"estimate {id}: its prices and customer are blanked, being past keeping")
    return estimate_page(sheet, at_desk=True)


def _made(fields: Fields, folder: Path) -> str:
    customer = Customer(fields.get("vehicle", ""), fields.get("plate", ""), fields.get("complaint", ""))
    asked = EstimateOptions(
        work=named_work(fields.get("work", "")),
        sides=fields.get("sides", ""),
        technician=fields.get("technician") or None,
        corrosion=fields.get("corrosion") or "unknown",
        support=fields.get("support") or "unknown",
        customer=customer,
    )
    return keep_estimate(asked, folder).id


_FORM = (
    FormField("work", "Work: PROCEDURE or PROCEDURE:OPERATION, several with commas", needed=True),
    FormField("sides", "Sides: left, right, front, rear"),
    FormField("vehicle", "Vehicle"),
    FormField("plate", "Plate"),
    FormField("complaint", "What the customer says"),
    FormField("technician", "Technician, if it is to be for one"),
    FormField("corrosion", "Corrosion", get_args(Corrosion)[::-1]),
    FormField("support", "Stands on", get_args(Support)[::-1]),
)
