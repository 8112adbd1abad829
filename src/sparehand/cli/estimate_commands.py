"""What is typed for a customer's estimate and what became of it. One short function a command, no logic."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sparehand.cli.lesson_commands import ListsByDefault
from sparehand.cli.options import Corrosion, Data, Json, Sides, Support, Technician

estimate = typer.Typer()
estimates = typer.Typer(cls=ListsByDefault, help="Estimates given: a month of them, and what became of each.")

Estimate = Annotated[str, typer.Argument(metavar="ESTIMATE", help="Its id or the beginning of it.")]
By = Annotated[str | None, typer.Option(metavar="NAME", help="Who writes this down.")]
Jobs = Annotated[list[str] | None, typer.Option("--job", metavar="JOB", help="The open job; may be given twice.")]


@estimate.command("estimate")
def estimate_work(
    work: Annotated[str, typer.Argument(metavar="PROCEDURE[:OPERATION],…", help="What is to be done, in order.")],
    sides: Sides = "",
    technician: Technician = None,
    corrosion: Corrosion = "unknown",
    support: Support = "unknown",
    risk: Annotated[float, typer.Option(help="The chance of running over that you accept.")] = 0.3,
    payer: Annotated[
        list[str] | None,
        typer.Option(metavar="NAME=WHO", help="Who pays for an operation, line or part: customer, warranty, …"),
    ] = None,
    book: Annotated[
        list[str] | None, typer.Option(metavar="OPERATION=HOURS", help="A book time to print beside the hours.")
    ] = None,
    line: Annotated[
        list[str] | None, typer.Option(metavar="WORK=HOURS", help="diagnosis, road test, waiting or work elsewhere.")
    ] = None,
    vehicle: Annotated[str, typer.Option(metavar="TEXT", help="The vehicle, in your own words.")] = "",
    plate: Annotated[str, typer.Option(metavar="TEXT", help="Number plate or vehicle number.")] = "",
    complaint: Annotated[str, typer.Option(metavar="TEXT", help="What the customer says.")] = "",
    rates: Annotated[
        Path | None, typer.Option(metavar="FILE.toml", help="The rates file; rates.toml in the data folder.")
    ] = None,
    to: Annotated[Path | None, typer.Option(metavar="FILE.html", help="Where the page goes.")] = None,
    json: Json = False,
    data: Data = None,
) -> None:
    """A page for the customer: work, hours, parts, price, and how sure it is. It is kept in the log."""
    from sparehand.desk.estimating import EstimateOptions, print_estimate
    from sparehand.visit.estimate import Customer

    lists = (tuple(payer or ()), tuple(book or ()), tuple(line or ()))
    customer = Customer(vehicle, plate, complaint)
    asked = EstimateOptions(work, sides, technician, corrosion, support, risk, *lists, customer, rates)
    print_estimate(asked, as_json=json, to=to, data=data)


@estimates.command("list")
def estimates_list(
    month: Annotated[str | None, typer.Argument(metavar="[YYYY-MM]", help="The month; this one by default.")] = None,
    json: Json = False,
    data: Data = None,
) -> None:
    """The estimates of a month, with approved, sold and worked hours of their closed jobs by who pays."""
    from sparehand.desk.estimate_decisions import print_estimates

    print_estimates(month, as_json=json, data=data)


@estimates.command("approve")
def estimates_approve(estimate: Estimate, job: Jobs = None, by: By = None, data: Data = None) -> None:
    """The customer agreed; with --job the hours go into the job's log and onto its card."""
    from sparehand.desk.estimate_decisions import decide_estimate

    decide_estimate(estimate, "approved", tuple(job or ()), by, data)


@estimates.command("decline")
def estimates_decline(estimate: Estimate, by: By = None, data: Data = None) -> None:
    """The customer does not want it."""
    from sparehand.desk.estimate_decisions import decide_estimate

    decide_estimate(estimate, "declined", (), by, data)


@estimates.command("change")
def estimates_change(estimate: Estimate, by: By = None, data: Data = None) -> None:
    """The customer wants something else; make another estimate."""
    from sparehand.desk.estimate_decisions import decide_estimate

    decide_estimate(estimate, "changed", (), by, data)
