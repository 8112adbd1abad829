"""Today for the terminal: each bench's open jobs, and the estimates that wait for an answer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta

from rich import box
from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from sparehand.ground.plurals import how_many
from sparehand.ground.terminal import printable
from sparehand.procedures.wording import nearest
from sparehand.screens.estimate_page import money
from sparehand.visit.records import StoredEstimate
from sparehand.visit.today import TodayJob

LONG_HOURS = 48


def today_table(jobs: Sequence[TodayJob], unanswered: Sequence[StoredEstimate], now: datetime) -> RenderableType:
    """A table a bench, and a line an estimate."""
    lines = [Text(printable(unanswered_words(one))) for one in unanswered]
    if not jobs:
        return Group(Text("No job is open."), *lines)
    tables = []
    for bench in dict.fromkeys(job.bench for job in jobs):
        table = Table(box=box.SIMPLE_HEAD, title=Text(printable(bench)), title_justify="left")
        for column in ("job", "vehicle", "who", "now", "waits for", "ready"):
            table.add_column(column, overflow="fold")
        for job in jobs:
            if job.bench == bench:
                table.add_row(*(Text(printable(cell)) for cell in cells(job, now)))
        tables.append(table)
    return Group(*tables, *lines)


def cells(job: TodayJob, now: datetime) -> tuple[str, ...]:
    """The cells of a row: job, vehicle, people, phase, what it waits for, when it is ready."""
    people = ", ".join(f"{one.name}{f' ({one.stopped_for})' if one.stopped_for else ''}" for one in job.people)
    vehicle = ", ".join(filter(None, (job.vehicle, job.plate))) or job.procedure
    phase = f"{job.phase}, {job.phase_minutes:.0f} min{', longer than 9 in 10' if job.over_range else ''}"
    return (job.job, vehicle, people, f"{job.standing}: {phase}", ", ".join(job.waits_for), "; ".join(_ready(job, now)))


def unanswered_words(one: StoredEstimate) -> str:
    """An estimate without an answer in a line."""
    sheet = one.sheet
    about = f"{sheet.vehicle or 'no vehicle named'}, {money(sheet.total, sheet.currency)}" if sheet else "blanked"
    return f"No answer yet to estimate {one.id} of {one.given_at:%Y-%m-%d}: {about}"


def span_words(minutes: float) -> str:
    """A span of time in hours and minutes, or in days where it is long."""
    hours, rest = divmod(nearest(minutes), 60)
    if hours >= LONG_HOURS:
        return how_many(nearest(hours / 24), "day")
    return f"{hours} h {rest} min" if hours else f"{rest} min"


def at_words(moment: datetime, now: datetime) -> str:
    """A moment for people, with its day where it is not today's."""
    here = moment.astimezone(now.tzinfo)
    return f"{here:%H:%M}" if here.date() == now.date() else f"{here:%a %H:%M}"


def _ready(job: TodayJob, now: datetime) -> Iterator[str]:
    if job.ready_half and job.ready_most:
        yield f"about {at_words(job.ready_half, now)}, 9 in 10 by {at_words(job.ready_most, now)}"
    elif job.work_left:
        yield f"{job.work_left[0]:.1f} h of work left, 9 in 10 below {job.work_left[1]:.1f} h"
    if job.shared_at:
        yield f"as of {at_words(job.shared_at, now)}, {span_words((now - job.shared_at) / timedelta(minutes=1))} ago"
    elif job.standing == "bench off":
        yield f"last heard {at_words(job.last_heard, now)}"
    if job.promised:
        yield f"promised {at_words(job.promised, now)}"
        if job.promised < (job.ready_half or now):
            yield "late"
