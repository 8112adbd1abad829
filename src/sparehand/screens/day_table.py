"""The day for the terminal: who does what when, when it is ready, and which promise is at risk by how much."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from sparehand.ground.plurals import how_many
from sparehand.ground.terminal import printable
from sparehand.screens.today_table import at_words, span_words
from sparehand.visit.calibration import Band, PromiseOutcome
from sparehand.visit.day_forecast import DayForecast, JobForecast

COLUMNS = ("job", "who and where", "begins", "ready, 50 %", "ready, 90 %", "promised", "kept", "at risk")
BAND_COLUMNS = ("stated chance", "promises", "to be kept", "kept")


def day_table(day: DayForecast) -> RenderableType:
    """The jobs in the order in which they begin, and how many promises are kept."""
    table = Table(box=box.SIMPLE_HEAD)
    for column in COLUMNS:
        table.add_column(column, overflow="fold")
    for row in day.jobs:
        table.add_row(*(Text(printable(cell)) for cell in day_cells(row, day.at)))
    return Group(table, *(Text(printable(line)) for line in day_lines(day)))


def day_cells(row: JobForecast, at: datetime) -> tuple[str, ...]:
    """The cells of a row, as COLUMNS names them."""
    moments = (at_words(one, at) if one else "" for one in (row.starts, row.ready_half, row.ready_most, row.promised))
    kept = "" if row.chance is None else f"{100 * row.chance:.0f}\u00a0%"
    late = f"by {span_words(row.late_minutes)}" if row.at_risk else ""
    return (row.name, ", ".join(filter(None, (row.technician, row.bay))), *moments, kept, late)


def day_lines(day: DayForecast) -> tuple[str, ...]:
    """How many promises this order keeps, and how sure it is that none keeps more."""
    if not day.promises:
        return ("No job has a promised time.", *day.besides)
    proven = "no order keeps more by the planned times" if day.proven else "the best order found in the time allowed"
    return (
        f"This order keeps {day.kept:.1f} of {how_many(day.promises, 'promise')} on average, {proven}; "
        f"the order of the file keeps {day.as_listed:.1f}.",
        *day.besides,
    )


def promises_table(outcomes: Sequence[PromiseOutcome], bands: Sequence[Band], now: datetime) -> RenderableType:
    """What became of each promise, and stated chances against what happened."""
    if not outcomes:
        return Text("No promise is written down yet; `sparehand day PLAN --promise` does it.")
    table = Table(box=box.SIMPLE_HEAD)
    for column in ("promised for", "stated", "plate", "job", "ready", "outcome"):
        table.add_column(column, overflow="fold")
    for one in outcomes:
        ready = f"{one.ready_at.astimezone(now.tzinfo):%Y-%m-%d %H:%M}" if one.ready_at else ""
        due = f"{one.due.astimezone(now.tzinfo):%Y-%m-%d %H:%M}"
        cells = (due, f"{100 * one.chance:.0f} in 100", one.plate, one.job or "not found", ready, one.outcome)
        table.add_row(*(Text(printable(cell)) for cell in cells))
    return Group(table, *(Text(line) for line in map(band_words, bands)))


def band_words(band: Band) -> str:
    """One band of stated chances against what happened."""
    stated, promises, expected, kept = band_cells(band)
    return f"stated {stated}: {how_many(int(promises), 'promise')}, {expected} to be kept, {kept} were kept"


def band_cells(band: Band) -> tuple[str, ...]:
    """The same as BAND_COLUMNS names it."""
    stated = f"{100 * band.low:.0f} to {100 * band.high:.0f} in 100"
    return stated, str(band.promises), f"{band.expected:.1f} ± {band.sd:.1f}", str(band.kept)
