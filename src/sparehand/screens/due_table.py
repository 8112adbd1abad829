"""What is due over all jobs, for the terminal."""

from __future__ import annotations

from collections.abc import Sequence

from rich import box
from rich.console import RenderableType
from rich.table import Table
from rich.text import Text

from sparehand.ground.terminal import printable
from sparehand.job.answering.answer_visit import due_words
from sparehand.screens.card_visit import ended_words
from sparehand.shop.follow_ups import DueFollowUp


def due_table(found: Sequence[DueFollowUp]) -> RenderableType:
    """One row a follow-up: how it stands, when it is due, what, on which vehicle, of which job."""
    if not found:
        return Text("Nothing is due.")
    table = Table(box=box.SIMPLE_HEAD)
    for column in ("stands", "due", "what", "vehicle", "job", "follow-up"):
        table.add_column(column, overflow="fold")
    for one in found:
        row = (one.standing, when_words(one), one.note.words, vehicle_words(one), one.job, one.note.id)
        table.add_row(*(Text(printable(cell)) for cell in row))
    return table


def when_words(one: DueFollowUp) -> str:
    """When it is due, with the latest odometer beside a distance; how it ended where it was done."""
    due = due_words(one.note).removeprefix(", due ")
    unit = f" {one.odometer_unit}" if one.odometer_unit else ""
    read = f", last read {one.odometer}{unit}" if one.note.due_distance is not None and one.odometer is not None else ""
    return ended_words(one.note).removeprefix(", ") or f"{due}{read}"


def vehicle_words(one: DueFollowUp) -> str:
    """The vehicle with its plate, as far as anybody said."""
    return ", ".join(filter(None, (one.vehicle, one.plate)))
