"""What is typed about follow-ups and lines beside the procedure. One short function a command, no logic."""

from __future__ import annotations

from typing import Annotated

import typer

from sparehand.cli.estimate_commands import By
from sparehand.cli.lesson_commands import ListsByDefault
from sparehand.cli.options import Data, Json

due = typer.Typer(cls=ListsByDefault, help="What is due over all jobs: listed, scheduled, ticked.")
line = typer.Typer(help="Lines beside the procedure: diagnosis, road test, waiting, work elsewhere.")

Job = Annotated[str, typer.Argument(metavar="JOB", help="Its id; it may be closed.")]
FollowUp = Annotated[str, typer.Argument(metavar="FOLLOW-UP", help="Its name in the last column of `sparehand due`.")]
Unit = Annotated[str | None, typer.Option(help="km or mi; the distance_unit of the settings by default.")]
Result = Annotated[str | None, typer.Option(metavar="TEXT", help="What came out.")]
Reference = Annotated[str | None, typer.Option(metavar="TEXT", help="The other shop's or the order's number.")]
Distance = Annotated[float | None, typer.Option(metavar="NUMBER", help="How far a road test went.")]
Amount = Annotated[str | None, typer.Option(metavar="MONEY", help="What work elsewhere cost.")]
PaidBy = Annotated[str | None, typer.Option("--payer", help="customer, warranty, goodwill, internal or training.")]


@due.command("list")
def due_list(
    all: Annotated[bool, typer.Option("--all", help="Done ones, and old ones without a date, too.")] = False,
    json: Json = False,
    data: Data = None,
) -> None:
    """What is due, overdue first, over all jobs; what `sparehand due` does."""
    from sparehand.desk.follow_up_list import print_due

    print_due(everything=all, as_json=json, data=data)


@due.command("set")
def due_set(
    job: Job,
    follow_up: FollowUp,
    on: Annotated[str | None, typer.Option(metavar="YYYY-MM-DD", help="The date.")] = None,
    distance: Annotated[float | None, typer.Option(metavar="NUMBER", help="What the odometer will read.")] = None,
    unit: Unit = None,
    hours: Annotated[float | None, typer.Option(metavar="NUMBER", help="What the hour meter will read.")] = None,
    words: Annotated[str, typer.Option(metavar="TEXT", help="A follow-up that the procedure does not bring.")] = "",
    by: By = None,
    data: Data = None,
) -> None:
    """When a follow-up is due: a date, a distance, meter hours, or several of them."""
    from sparehand.desk.follow_up_list import DueWhen, schedule

    schedule(job, follow_up, DueWhen(on, distance, unit, hours), words, by, data)


@due.command("done")
def due_done(
    job: Job,
    follow_up: FollowUp,
    result: Annotated[str, typer.Option(metavar="TEXT", help="What came out.")] = "",
    by: By = None,
    data: Data = None,
) -> None:
    """A follow-up was done, with its result."""
    from sparehand.desk.follow_up_list import tick

    tick(job, follow_up, result, by, data)


@line.command("list")
def line_list(job: Job, data: Data = None) -> None:
    """The lines of a job, with their numbers."""
    from sparehand.desk.line_additions import print_lines

    print_lines(job, data)


@line.command("add")
def line_add(
    job: Job,
    work: Annotated[str, typer.Argument(metavar="WORK", help="diagnosis, 'road test', waiting or 'work elsewhere'.")],
    minutes: Annotated[float, typer.Option(min=0, help="How long it took.")] = 0,
    result: Result = None,
    reference: Reference = None,
    distance: Distance = None,
    unit: Unit = None,
    amount: Amount = None,
    payer: PaidBy = None,
    by: By = None,
    data: Data = None,
) -> None:
    """A line that nobody timed at the bench."""
    from sparehand.desk.line_additions import LineWords, add_line

    add_line(job, work, minutes, LineWords(result, reference, distance, unit, amount, payer), by, data)


@line.command("note")
def line_note(
    job: Job,
    number: Annotated[int, typer.Argument(metavar="NUMBER", help="The line's number in the job.")],
    result: Result = None,
    reference: Reference = None,
    distance: Distance = None,
    unit: Unit = None,
    amount: Amount = None,
    payer: PaidBy = None,
    by: By = None,
    data: Data = None,
) -> None:
    """More about a line: its result, reference, distance, cost, who pays."""
    from sparehand.desk.line_additions import LineWords, note_line

    note_line(job, number, LineWords(result, reference, distance, unit, amount, payer), by, data)
