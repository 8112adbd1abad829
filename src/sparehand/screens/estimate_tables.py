"""Estimates for the terminal: one sheet, and a month of them with what became of each."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from sparehand.ground.terminal import printable
from sparehand.screens.estimate_page import money
from sparehand.visit.estimate import EstimateSheet
from sparehand.visit.month import MonthRow
from sparehand.visit.sold import PayerHours, added_up

PAYER_COLUMNS = ("paid by", "approved h", "sold h", "worked h", "sold − worked")


def estimate_table(sheet: EstimateSheet) -> RenderableType:
    """The sheet: labour, parts, total, and how sure it is."""
    table = Table(box=box.SIMPLE_HEAD)
    for column in ("work", "paid by"):
        table.add_column(column, overflow="fold")
    for column in ("book", "hours", "price"):
        table.add_column(column, justify="right")
    for row in sheet.labour:
        book = "" if row.book_hours is None else str(row.book_hours)
        table.add_row(_text(row.title), row.payer, book, str(row.hours), money(row.price, sheet.currency))
    for part in sheet.parts:
        table.add_row(_text(f"{part.quantity} {part.name}"), "", "", "", money(part.price, sheet.currency))
    if sheet.tax_percent is not None:
        table.add_row(f"{sheet.tax_name} {sheet.tax_percent} %", "", "", "", money(sheet.tax, sheet.currency))
    table.add_row(
        Text("total", "bold"), "", "", str(sheet.labour_hours), Text(money(sheet.total, sheet.currency), "bold")
    )
    hours = sum((row.hours for row in sheet.labour if row.procedure), Decimal(0))
    lines = [f"the chance that the operations take longer than {hours} h is {sheet.chance_over:.0%}"]
    if len(sheet.shares) > 1:
        lines += [f"{one.payer} pays {money(one.total, sheet.currency)}" for one in sheet.shares]
    lines += [f"{one.what}: up to {one.hours} h more, {money(one.price, sheet.currency)}" for one in sheet.may_change]
    return Group(table, *map(_text, lines))


def month_table(month: str, rows: Sequence[MonthRow]) -> RenderableType:
    """Each estimate of a month with its outcome, then approved, sold and worked hours by payer."""
    table = Table(box=box.SIMPLE_HEAD, title=f"Estimates of {month}", title_justify="left")
    for column in ("estimate", "given", "vehicle", "outcome"):
        table.add_column(column, overflow="fold")
    for column in ("hours", "total", "worked"):
        table.add_column(column, justify="right")
    for row in rows:
        worked = str(sum((each.worked for each in row.by_payer), Decimal(0))) if row.by_payer else ""
        total = money(row.total, row.currency) if row.total is not None else ""
        table.add_row(row.id, row.given, _text(row.vehicle), row.outcome, str(row.hours), total, worked)
    return Group(table, payer_table(added_up(each for row in rows for each in row.by_payer)))


def payer_table(rows: Sequence[PayerHours]) -> RenderableType:
    """Approved, sold and worked hours side by side."""
    if not rows:
        return Text("No job of an approved estimate is closed yet.")
    table = Table(box=box.SIMPLE_HEAD)
    for place, column in enumerate(PAYER_COLUMNS):
        table.add_column(column, justify="right" if place else "left")
    for row in rows:
        table.add_row(*payer_cells(row))
    return table


def payer_cells(row: PayerHours) -> tuple[str, ...]:
    """The cells of a row, as PAYER_COLUMNS names them."""
    return (row.payer, str(row.approved), str(row.sold), str(row.worked), f"{row.sold - row.worked:+}")


def _text(text: str) -> Text:
    return Text(printable(text))
