"""A page for the desk: tables, a plot or a form under one row of links."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from markupsafe import Markup

from sparehand.screens.pages import page_template

PLACES = (("today", "Today"), ("day", "Day"), ("due", "Due"), ("estimates", "Estimates"), ("labour", "Labour"))
"""The pages with their titles, in the order of the links."""


@dataclass(frozen=True)
class Cell:
    """A text, perhaps with the page that it leads to."""

    text: str
    link: str = ""


@dataclass(frozen=True)
class Row:
    """The cells of a row; a `marked` one wants attention."""

    cells: tuple[Cell, ...]
    marked: bool = False


@dataclass(frozen=True)
class DeskTable:
    """A table with its title."""

    title: str
    columns: tuple[str, ...]
    rows: tuple[Row, ...]


@dataclass(frozen=True)
class FormField:
    """A field of a form: typed, or one of `choices`; one with a `value` is sent along unseen."""

    name: str
    label: str
    choices: tuple[str, ...] = ()
    needed: bool = False
    value: str = ""


@dataclass(frozen=True)
class DeskContent:
    """What a page holds. `plot` is SVG of this program's own; `refresh_seconds` 0: it stays as it is."""

    place: str
    title: str
    lines: tuple[str, ...] = ()
    tables: tuple[DeskTable, ...] = ()
    plot: Markup | None = None
    fields: tuple[FormField, ...] = ()
    button: str = ""
    is_problem: bool = False
    refresh_seconds: int = 0


Made = DeskContent | str
"""What a page holds, or a whole page that stands alone."""


def desk_page(content: DeskContent, as_of: datetime, *, beside_bay: bool = False) -> str:
    """The page as HTML, with the way to the bay page where that is `beside_bay`."""
    shown = {"content": content, "places": PLACES, "beside_bay": beside_bay}
    return page_template("desk.html.j2").render(**shown, as_of=f"{as_of:%Y-%m-%d %H:%M}")
