"""What is typed at the bench: jobs, and what is needed before them. One short function a command, no logic."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sparehand.cli.options import (
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
    Sides,
    Support,
    Technician,
)

bench = typer.Typer()


@bench.command()
def demo(
    to: Annotated[Path, typer.Option(metavar="DIR", help="Where the demo's files go.")] = Path("sparehand-demo"),
    noise_db: Annotated[float, typer.Option("--noise-db", help="Speech over shop noise, in decibels.")] = 20.0,
    data: Data = None,
) -> None:
    """A whole job by voice, on an invented vehicle, with no microphone: heard, guided, timed and quoted."""
    from sparehand.demo.run import run_demo

    run_demo(to, noise_db, data)


@bench.command()
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
    odometer: Annotated[
        int | None, typer.Option(min=0, help="What the odometer shows, in the distance_unit of the settings.")
    ] = None,
    identification: Annotated[str, typer.Option(metavar="TEXT", help="Number plate or vehicle number.")] = "",
    complaint: Annotated[str, typer.Option(metavar="TEXT", help="What the customer complains of.")] = "",
    rework_of: Annotated[str | None, typer.Option(metavar="JOB", help="The earlier job that this puts right.")] = None,
    corrosion: Corrosion = "unknown",
    support: Support = "unknown",
    practice: Annotated[bool, typer.Option("--practice", help="Practice only: its times never count.")] = False,
    ears: Ears = None,
    engine: Engine = None,
    listen: Listen = None,
    mute: Mute = False,
    page: Page = None,
    phrases: Phrases = None,
    data: Data = None,
) -> None:
    """A job, hands free. Without a procedure it lists those there are."""
    if procedure is None and new is None:
        from sparehand.desk.procedure_sheets import print_procedures

        print_procedures(data)
        return
    from sparehand.at_work import start_job as working
    from sparehand.at_work.job_choice import Choice
    from sparehand.at_work.surroundings import ListeningOptions

    listening = ListeningOptions(ears, engine, listen, mute, page, phrases)
    choice = Choice(procedure or "", operations, sides, technician, vehicle, odometer, corrosion, support, with_)
    order = working.Order(identification, complaint, rework_of, practice)
    if new is not None:
        working.begin_first(new, choice, listening, data, order)
        return
    working.begin(choice, listening, data, order)


@bench.command()
def resume(
    job: Annotated[str | None, typer.Argument(metavar="[JOB]", help="Its id; not needed where one is open.")] = None,
    ears: Ears = None,
    engine: Engine = None,
    listen: Listen = None,
    mute: Mute = False,
    page: Page = None,
    phrases: Phrases = None,
    data: Data = None,
) -> None:
    """Go on with an open job."""
    from sparehand.at_work import start_job as working
    from sparehand.at_work.surroundings import ListeningOptions

    working.resume(job, ListeningOptions(ears, engine, listen, mute, page, phrases), data)


@bench.command()
def setup(
    microphone: Annotated[
        str | None,
        typer.Option(metavar="NAME|FILE.wav|none", help="The microphone by a part of its name; none to type."),
    ] = None,
    voice: Annotated[str | None, typer.Option(metavar="ID", help="The voice; an empty text is the default.")] = None,
    words_per_minute: Annotated[int | None, typer.Option(min=80, max=300, help="How fast it speaks.")] = None,
    unit: Annotated[str | None, typer.Option(metavar="UNIT", help="N·m, lbf·ft, lbf·in or kgf·m.")] = None,
    learn: Annotated[
        str | None, typer.Option(metavar="NAME", help="Learn how this technician speaks, by twenty phrases said twice.")
    ] = None,
    data: Data = None,
) -> None:
    """The first run: asks for microphone, voice and unit, tries them, and writes the settings file."""
    from sparehand.setup.first_run import Given, run_learning, run_setup

    if learn is not None:
        run_learning(learn, microphone, data)
        return
    run_setup(Given(microphone, voice, words_per_minute, unit), data)


@bench.command()
def selfcheck(
    microphone: Annotated[
        bool, typer.Option("--microphone", help="Measure the room and a spoken sample, and say what to improve.")
    ] = False,
    json: Json = False,
    data: Data = None,
) -> None:
    """What this machine has for a job, and what to do about what it lacks."""
    from sparehand.desk import models_and_settings

    raise typer.Exit(models_and_settings.print_selfcheck(as_json=json, microphone=microphone, data=data))
