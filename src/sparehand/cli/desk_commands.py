"""What is typed at the desk: hours, cards, estimates, procedures. One short function a command, no logic."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sparehand.cli.options import Corrosion, Data, Json, Operations, ProcedureName, Sides, Support, Technician

desk = typer.Typer()


@desk.command()
def draft(
    job: Annotated[str, typer.Argument(metavar="JOB", help="A job begun with `work --new`.")],
    to: Annotated[Path, typer.Option(metavar="FILE.yaml", help="Where the procedure goes.")],
    data: Data = None,
) -> None:
    """The procedure that a first job wrote, every value marked for a person to confirm."""
    from sparehand.desk import first_job

    first_job.write_draft(job, to, data)


@desk.command()
def hours(
    job: Annotated[str | None, typer.Argument(metavar="[JOB]", help="Its id; without it the jobs are listed.")] = None,
    correct: Annotated[
        bool, typer.Option("--correct", help="Count time elsewhere than it was recorded, row by row.")
    ] = False,
    json: Json = False,
    data: Data = None,
) -> None:
    """The timesheet of a job, or the list of jobs."""
    if correct:
        from sparehand.desk.hours_correction import correct_hours

        correct_hours(job, data)
        return
    from sparehand.desk.hours import print_jobs, print_timesheet

    if job is None:
        print_jobs(as_json=json, data=data)
    else:
        print_timesheet(job, as_json=json, data=data)


@desk.command()
def card(
    job: Annotated[str, typer.Argument(metavar="JOB", help="Its id, as `sparehand hours` lists it.")],
    to: Annotated[
        Path | None, typer.Option(metavar="FILE.html", help="Where it goes; JOB.html here by default.")
    ] = None,
    tag: Annotated[
        bool, typer.Option("--tag", help="The tag for a vehicle that is moved or left half dismantled, on A5.")
    ] = False,
    as_json: Annotated[bool, typer.Option("--json", help="The facts of the card for other programs, printed.")] = False,
    data: Data = None,
) -> None:
    """The job card, as a page to print; or the tag that goes with the vehicle; or its facts as JSON."""
    from sparehand.desk.cards import print_facts, write_card, write_tag

    if as_json:
        print_facts(job, data)
    else:
        (write_tag if tag else write_card)(job, to, data)


@desk.command()
def amend(
    job: Annotated[str, typer.Argument(metavar="JOB", help="Its id; it may be closed.")],
    complaint: Annotated[str, typer.Option(metavar="TEXT", help="What the customer complained of.")] = "",
    cause: Annotated[str, typer.Option(metavar="TEXT", help="What it came from.")] = "",
    correction: Annotated[str, typer.Option(metavar="TEXT", help="What put it right.")] = "",
    part: Annotated[list[str] | None, typer.Option(metavar="PART=NUMBER", help="The number that was fitted.")] = None,
    kept: Annotated[list[str] | None, typer.Option(metavar="PART", help="The old part was kept.")] = None,
    rework_of: Annotated[str | None, typer.Option(metavar="JOB", help="The earlier job that this puts right.")] = None,
    corrosion: Annotated[str | None, typer.Option(help="none, light, heavy or unknown.")] = None,
    support: Annotated[str | None, typer.Option(help="lift, stands or unknown.")] = None,
    odometer: Annotated[int | None, typer.Option(min=0, help="What the odometer shows.")] = None,
    practice: Annotated[bool, typer.Option("--practice", help="Practice only: its times never count.")] = False,
    payer: Annotated[list[str] | None, typer.Option(metavar="OPERATION=WHO", help="Who pays for an operation.")] = None,
    side: Annotated[str | None, typer.Option(help="The side that the parts of --part and --kept are on.")] = None,
    by: Annotated[str | None, typer.Option(metavar="NAME", help="Who adds this.")] = None,
    data: Data = None,
) -> None:
    """Add to the record of a job: complaint, cause, correction, parts, rework, conditions, payers, practice."""
    from sparehand.desk.record_additions import Amendment, amend_job

    said = Amendment(
        complaint,
        cause,
        correction,
        tuple(part or ()),
        tuple(kept or ()),
        rework_of,
        corrosion,
        support,
        odometer,
        practice,
        tuple(payer or ()),
        side,
    )
    amend_job(job, said, by, data)


@desk.command()
def quote(
    procedure: ProcedureName,
    operations: Operations = "",
    sides: Sides = "",
    technician: Technician = None,
    corrosion: Corrosion = "unknown",
    support: Support = "unknown",
    risk: Annotated[float, typer.Option(help="The chance of running over that you accept.")] = 0.3,
    hours: Annotated[float | None, typer.Option(help="Ask the chance of running over these hours.")] = None,
    allowance: Annotated[
        str, typer.Option(metavar="none|PERCENT", help="Work study's addition for rest and personal needs.")
    ] = "none",
    json: Json = False,
    report: Annotated[Path | None, typer.Option(metavar="FILE.html", help="Write a page with plots too.")] = None,
    data: Data = None,
) -> None:
    """Hours to quote, with the risk of running over."""
    from sparehand.desk.quoting import QuoteOptions, print_quote

    asked = QuoteOptions(procedure, operations, sides, technician, corrosion, support, risk, hours, allowance)
    print_quote(asked, as_json=json, report=report, data=data)


@desk.command()
def backtest(
    procedure: Annotated[str | None, typer.Argument(metavar="[PROCEDURE]", help="One procedure's jobs only.")] = None,
    json: Json = False,
    data: Data = None,
) -> None:
    """How quotes made before each job would have done, beside simpler forecasts."""
    from sparehand.desk import forecast_checks

    forecast_checks.print_backtest(procedure, as_json=json, data=data)


@desk.command()
def sample_size(
    procedure: ProcedureName, operations: Operations = "", sides: Sides = "", json: Json = False, data: Data = None
) -> None:
    """How many more jobs until the usual time is known, and what nearly all jobs stay below."""
    from sparehand.desk import forecast_checks

    forecast_checks.print_sample_size(procedure, operations, sides, as_json=json, data=data)


@desk.command()
def check(
    files: Annotated[list[str], typer.Argument(metavar="PROCEDURE…", help="Files' paths, or ids of procedures.")],
    data: Data = None,
) -> None:
    """Check procedures: errors and warnings with line and column."""
    from sparehand.desk.procedure_sheets import check_files

    raise typer.Exit(check_files(files, data))


@desk.command()
def kit(procedure: ProcedureName, operations: Operations = "", sides: Sides = "", data: Data = None) -> None:
    """What to have at hand before starting."""
    from sparehand.desk.procedure_sheets import print_kit

    print_kit(procedure, operations, sides, data)


@desk.command()
def schema(
    card: Annotated[bool, typer.Option("--card", help="Of what `card JOB --json` prints, for programs.")] = False,
    day: Annotated[bool, typer.Option("--day", help="Of the plan of a day.")] = False,
    data: Data = None,  # noqa: ARG001 - every command takes it
) -> None:
    """The JSON Schema of procedure files, for an editor; of the facts of a job card; or of the plan of a day."""
    from sparehand.procedures.json_schema import json_schema
    from sparehand.screens.card_facts import card_schema
    from sparehand.visit.day_plan import plan_schema

    typer.echo(plan_schema() if day else card_schema() if card else json_schema())
