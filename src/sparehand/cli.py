"""The command line: one short function a command, no logic."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated, Any

import typer

from sparehand import __version__, cli_groups, cli_lessons, cli_log, cli_share
from sparehand.cli_options import (
    Corrosion,
    Data,
    Ears,
    Engine,
    Json,
    Listen,
    Mute,
    Operations,
    Page,
    Phrases,
    ProcedureName,
    Sides,
    Support,
    Technician,
)
from sparehand.errors import SparehandError

app = typer.Typer(
    name="sparehand",
    help="Offline, hands-free voice-and-timer bench assistant with a job-time log. The maker's data prevail.",
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

app.add_typer(cli_groups.models, name="models")
app.add_typer(cli_groups.times, name="times")
app.add_typer(cli_groups.settings, name="settings")
app.add_typer(cli_lessons.lessons, name="lessons")
app.add_typer(cli_log.log, name="log")
app.add_typer(cli_log.person, name="person")
app.command()(cli_share.share)


@app.command()
def demo(
    to: Annotated[Path, typer.Option(metavar="DIR", help="Where the demo's files go.")] = Path("sparehand-demo"),
    noise_db: Annotated[float, typer.Option("--noise-db", help="Speech over shop noise, in decibels.")] = 20.0,
    data: Data = None,
) -> None:
    """A whole job by voice, on an invented vehicle, with no microphone: heard, guided, timed and quoted."""
    from sparehand.demo.run import run_demo

    run_demo(to, noise_db, data)


@app.command()
def work(
    procedure: Annotated[str | None, typer.Argument(metavar="[PROCEDURE]", help="A file's path or an id.")] = None,
    new: Annotated[
        str | None, typer.Option("--new", metavar="NAME", help="No procedure yet: this job writes one of that name.")
    ] = None,
    operations: Operations = "",
    sides: Sides = "",
    technician: Technician = None,
    with_: Annotated[
        str, typer.Option("--with", metavar="A,B", help="Who else is on the job, each as NAME: SPOKEN.")
    ] = "",
    vehicle: Annotated[str, typer.Option(metavar="TEXT", help="The vehicle, in your own words.")] = "",
    odometer: Annotated[int | None, typer.Option(min=0, help="What the odometer shows, in its own unit.")] = None,
    identification: Annotated[str, typer.Option(metavar="TEXT", help="Number plate or vehicle number.")] = "",
    complaint: Annotated[str, typer.Option(metavar="TEXT", help="What the customer complains of.")] = "",
    rework_of: Annotated[str | None, typer.Option(metavar="JOB", help="The earlier job that this puts right.")] = None,
    corrosion: Corrosion = "none",
    support: Support = "lift",
    ears: Ears = "microphone",
    engine: Engine = None,
    listen: Listen = None,
    mute: Mute = False,
    page: Page = None,
    phrases: Phrases = None,
    data: Data = None,
) -> None:
    """A job, hands free. Without a procedure it lists those there are."""
    from sparehand import work as working
    from sparehand.choosing import Choice
    from sparehand.room import Hearing

    if procedure is None and new is None:
        working.print_procedures(data)
        return
    listening = Hearing(ears, engine, listen, mute, page, phrases)
    choice = Choice(procedure or "", operations, sides, technician, vehicle, odometer, corrosion, support, with_)
    order = working.Order(identification, complaint, rework_of)
    if new is not None:
        working.begin_first(new, choice, listening, data)
        return
    working.begin(choice, listening, data, order)


@app.command()
def resume(
    job: Annotated[str | None, typer.Argument(metavar="[JOB]", help="Its id; not needed where one is open.")] = None,
    ears: Ears = "microphone",
    engine: Engine = None,
    listen: Listen = None,
    mute: Mute = False,
    page: Page = None,
    phrases: Phrases = None,
    data: Data = None,
) -> None:
    """Go on with an open job."""
    from sparehand import work as working
    from sparehand.room import Hearing

    working.resume(job, Hearing(ears, engine, listen, mute, page, phrases), data)


@app.command()
def draft(
    job: Annotated[str, typer.Argument(metavar="JOB", help="A job begun with `work --new`.")],
    to: Annotated[Path, typer.Option(metavar="FILE.yaml", help="Where the procedure goes.")],
    data: Data = None,
) -> None:
    """The procedure that a first job wrote, every value marked for a person to confirm."""
    from sparehand import first_job

    first_job.write_draft(job, to, data)


@app.command()
def hours(
    job: Annotated[str | None, typer.Argument(metavar="[JOB]", help="Its id; without it the jobs are listed.")] = None,
    correct: Annotated[
        bool, typer.Option("--correct", help="Count time elsewhere than it was recorded, row by row.")
    ] = False,
    json: Json = False,
    data: Data = None,
) -> None:
    """The timesheet of a job, or the list of jobs."""
    from sparehand import desk

    if correct:
        from sparehand.correcting import correct_hours

        correct_hours(job, data)
        return

    desk.print_hours(job, as_json=json, data=data)


@app.command()
def card(
    job: Annotated[str, typer.Argument(metavar="JOB", help="Its id, as `sparehand hours` lists it.")],
    to: Annotated[
        Path | None, typer.Option(metavar="FILE.html", help="Where it goes; JOB.html here by default.")
    ] = None,
    tag: Annotated[
        bool, typer.Option("--tag", help="The tag for a vehicle that is moved or left half dismantled, on A5.")
    ] = False,
    data: Data = None,
) -> None:
    """The job card, as a page to print; or the tag that goes with the vehicle."""
    from sparehand import desk

    (desk.write_tag if tag else desk.write_card)(job, to, data)


@app.command()
def amend(
    job: Annotated[str, typer.Argument(metavar="JOB", help="Its id; it may be closed.")],
    complaint: Annotated[str, typer.Option(metavar="TEXT", help="What the customer complained of.")] = "",
    cause: Annotated[str, typer.Option(metavar="TEXT", help="What it came from.")] = "",
    correction: Annotated[str, typer.Option(metavar="TEXT", help="What put it right.")] = "",
    part: Annotated[list[str] | None, typer.Option(metavar="PART=NUMBER", help="The number that was fitted.")] = None,
    kept: Annotated[list[str] | None, typer.Option(metavar="PART", help="The old part was kept.")] = None,
    rework_of: Annotated[str | None, typer.Option(metavar="JOB", help="The earlier job that this puts right.")] = None,
    by: Annotated[str | None, typer.Option(metavar="NAME", help="Who adds this.")] = None,
    data: Data = None,
) -> None:
    """Add to the record of a job: complaint, cause, correction, part numbers, old parts kept, rework."""
    from sparehand.amending import Amendment, amend_job

    said = Amendment(complaint, cause, correction, tuple(part or ()), tuple(kept or ()), rework_of)
    amend_job(job, said, by, data)


@app.command()
def quote(
    procedure: ProcedureName,
    operations: Operations = "",
    sides: Sides = "",
    technician: Technician = None,
    corrosion: Corrosion = "none",
    support: Support = "lift",
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
    from sparehand import desk

    asked = desk.Asked(procedure, operations, sides, technician, corrosion, support, risk, hours, allowance)
    desk.print_quote(asked, as_json=json, report=report, data=data)


@app.command()
def backtest(
    procedure: Annotated[str | None, typer.Argument(metavar="[PROCEDURE]", help="One procedure's jobs only.")] = None,
    json: Json = False,
    data: Data = None,
) -> None:
    """How quotes made before each job would have done, beside simpler forecasts."""
    from sparehand import forecasts

    forecasts.print_backtest(procedure, as_json=json, data=data)


@app.command()
def sample_size(
    procedure: ProcedureName, operations: Operations = "", sides: Sides = "", json: Json = False, data: Data = None
) -> None:
    """How many more jobs until the usual time is known, and what nearly all jobs stay below."""
    from sparehand import forecasts

    forecasts.print_sample_size(procedure, operations, sides, as_json=json, data=data)


@app.command()
def check(
    files: Annotated[list[Path], typer.Argument(metavar="FILE…", help="Procedure files.")],
    data: Data = None,  # noqa: ARG001 - every command takes it
) -> None:
    """Check procedure files: errors and warnings with line and column."""
    from sparehand import desk

    raise typer.Exit(desk.check_files(files))


@app.command()
def kit(procedure: ProcedureName, operations: Operations = "", sides: Sides = "", data: Data = None) -> None:
    """What to have at hand before starting."""
    from sparehand import desk

    desk.print_kit(procedure, operations, sides, data)


@app.command()
def schema(data: Data = None) -> None:  # noqa: ARG001 - every command takes it
    """The JSON Schema of procedure files, for an editor."""
    from sparehand.procedures.schema import json_schema

    typer.echo(json_schema())


@app.command()
def hear(
    file: Annotated[Path, typer.Argument(metavar="FILE.wav", help="A recording of speech.")],
    engine: Engine = None,
    listen: Annotated[str, typer.Option(help="always, call or key.")] = "always",
    situation: Annotated[
        str, typer.Option(metavar="NAME|all", help="What goes on, such as working or question.")
    ] = "all",
    json: Json = False,
    why: Annotated[bool, typer.Option("--why", help="Say of each phrase why it counted or not.")] = False,
    phrases: Phrases = None,
    data: Data = None,
) -> None:
    """What the ears make of a sound file."""
    from sparehand import listening

    listening.print_heard(file, engine, listen, situation, as_json=json, why=why, own=phrases, data=data)


@app.command()
def phrases(
    situation: Annotated[
        str, typer.Option(metavar="NAME|all", help="What goes on, such as working or question.")
    ] = "all",
    json: Json = False,
    own: Phrases = None,
    data: Data = None,
) -> None:
    """Everything that can be said, with what it does."""
    from sparehand import listening

    listening.print_phrases(situation, as_json=json, own=own, data=data)


@app.command()
def speak(
    text: Annotated[str, typer.Argument(metavar="TEXT", help="What it says.")],
    to: Annotated[Path, typer.Option(metavar="FILE.wav", help="Where the sound goes.")],
    data: Data = None,
) -> None:
    """The assistant's voice, into a file."""
    from sparehand.places import data_folder
    from sparehand.settings import load_settings
    from sparehand.voice.spoken_file import speak_to_file

    seconds = speak_to_file(text, to, load_settings(data_folder(data)))
    typer.echo(f"{to}: {seconds:.1f} s")


@app.command()
def selfcheck(
    microphone: Annotated[
        bool, typer.Option("--microphone", help="Measure the room and a spoken sample, and say what to improve.")
    ] = False,
    json: Json = False,
    data: Data = None,
) -> None:
    """What this machine has for a job, and what to do about what it lacks."""
    from sparehand import desk

    raise typer.Exit(desk.print_selfcheck(as_json=json, microphone=microphone, data=data))


@app.command()
def setup(
    microphone: Annotated[
        str | None,
        typer.Option(metavar="NAME|FILE.wav|none", help="The microphone by a part of its name; none to type."),
    ] = None,
    voice: Annotated[str | None, typer.Option(metavar="ID", help="The voice; an empty text is the default.")] = None,
    words_per_minute: Annotated[int | None, typer.Option(min=80, max=300, help="How fast it speaks.")] = None,
    unit: Annotated[str | None, typer.Option(metavar="UNIT", help="N·m, lbf·ft, lbf·in or kgf·m.")] = None,
    data: Data = None,
) -> None:
    """The first run: asks for microphone, voice and unit, tries them, and writes the settings file."""
    from sparehand.setup import Given, run_setup

    run_setup(Given(microphone, voice, words_per_minute, unit), data)


def _version(asked: bool) -> None:
    if asked:
        typer.echo(f"sparehand {__version__}")
        raise typer.Exit


@app.callback()
def _options(
    _version_asked: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version.")
    ] = False,
) -> None:
    """Options that stand before a command."""


def main(arguments: list[str] | None = None) -> Any:
    """Run the command line; a user's error is one line, without a traceback unless `--debug` is given."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    debug = "--debug" in given
    try:
        app([word for word in given if word != "--debug"])
    except SparehandError as error:
        if debug:
            raise
        sys.stderr.write(f"sparehand: {error}\n")
        raise SystemExit(error.exit_code) from error
    except KeyboardInterrupt:
        raise SystemExit(130) from None


if __name__ == "__main__":
    main()
