"""The command line's groups: models, times, settings. One short function a command, no logic."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sparehand.cli.options import Data

models = typer.Typer(no_args_is_help=True, help="Speech models: list, get, add, remove.")
times = typer.Typer(no_args_is_help=True, help="Phase times for estimates: import and export.")
settings = typer.Typer(no_args_is_help=True, help="What this bench prefers: show, set.")

Language = Annotated[str, typer.Argument(metavar="LANGUAGE", help="Such as english.")]


@models.command("list")
def models_list(data: Data = None) -> None:
    """The models there are, and how they stand here."""
    from sparehand.desk import models_and_settings

    models_and_settings.print_models(data)


@models.command("get")
def models_get(language: Language, data: Data = None) -> None:
    """Fetch a model from its publisher and install it."""
    from sparehand.desk import models_and_settings

    models_and_settings.get(language, data)


@models.command("add")
def models_add(
    language: Language,
    source: Annotated[Path, typer.Argument(metavar="FILE|FOLDER", help="Its archive, or its unpacked folder.")],
    data: Data = None,
) -> None:
    """Install a model from a file or a folder, with no internet."""
    from sparehand.desk import models_and_settings

    models_and_settings.add(language, source, data)


@models.command("remove")
def models_remove(language: Language, data: Data = None) -> None:
    """Remove an installed model."""
    from sparehand.desk import models_and_settings

    models_and_settings.remove(language, data)


@times.command("import")
def times_import(
    file: Annotated[Path, typer.Argument(metavar="FILE.csv", help="Rows as `times export` writes them.")],
    skip_bad: Annotated[bool, typer.Option("--skip-bad", help="Take the good rows of a file with bad ones.")] = False,
    data: Data = None,
) -> None:
    """Take the phase times of a file into the log."""
    from sparehand.desk import times_files

    raise typer.Exit(times_files.take_times(file, skip_bad=skip_bad, data=data))


@times.command("export")
def times_export(
    file: Annotated[Path, typer.Argument(metavar="FILE.csv|FILE.parquet", help="Where the rows go.")], data: Data = None
) -> None:
    """Write every phase time of closed and imported jobs to a file."""
    from sparehand.desk import times_files

    times_files.give_times(file, data)


@times.command("review")
def times_review(data: Data = None) -> None:
    """The jobs whose times do not count for estimates, each with its reason."""
    from sparehand.desk.times_review import print_review

    print_review(data)


@times.command("leave-out")
def times_leave_out(
    job: Annotated[str, typer.Argument(metavar="JOB", help="Its id, or the beginning of it.")],
    why: Annotated[str, typer.Option(metavar="TEXT", help="The reason.")] = "a person's decision",
    data: Data = None,
) -> None:
    """Leave the times of a job out of estimates; `times let-in` takes it back."""
    from sparehand.desk.times_review import decide_times

    decide_times(job, why, data)


@times.command("let-in")
def times_let_in(
    job: Annotated[str, typer.Argument(metavar="JOB", help="Its id, or the beginning of it.")], data: Data = None
) -> None:
    """Let the times of a job count, whatever left them out; `times leave-out` takes it back."""
    from sparehand.desk.times_review import decide_times

    decide_times(job, "", data)


@times.command("remap")
def times_remap(
    procedure: Annotated[str, typer.Argument(metavar="PROCEDURE", help="A file's path, or the id of a procedure.")],
    before: Annotated[str, typer.Argument(metavar="OLD", help="The id the phase had.")],
    phase: Annotated[str, typer.Argument(metavar="NEW", help="The id it has in the file now.")],
    data: Data = None,
) -> None:
    """Let times and lessons of a phase's earlier id count as its own."""
    from sparehand.desk import times_files

    times_files.remap_times(procedure, before, phase, data)


@settings.command("show")
def settings_show(data: Data = None) -> None:
    """Every setting as it is."""
    from sparehand.desk import models_and_settings

    models_and_settings.print_settings(data)


@settings.command("set")
def settings_set(
    key: Annotated[str, typer.Argument(metavar="KEY", help="One that `settings show` lists.")],
    value: Annotated[str, typer.Argument(metavar="VALUE", help="An empty text is the default.")],
    data: Data = None,
) -> None:
    """Change one setting."""
    from sparehand.desk import models_and_settings

    models_and_settings.set_setting(key, value, data)
