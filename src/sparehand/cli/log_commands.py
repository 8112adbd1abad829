"""The command line's groups about the log and its people. One short function a command, no logic."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from sparehand.cli.options import Data

log = typer.Typer(no_args_is_help=True, help="The log: show, verify, export, import, backup, restore, rescue, tidy.")
person = typer.Typer(no_args_is_help=True, help="People in the log: forget.")

Job = Annotated[str, typer.Argument(metavar="JOB", help="Its id, as `sparehand hours` lists it.")]
AnyJob = Annotated[str | None, typer.Argument(metavar="[JOB]", help="Its id; without it, every job.")]
File = Annotated[Path, typer.Argument(metavar="FILE", help="The file that is read or written.")]


@log.command("show")
def log_show(job: Job, data: Data = None) -> None:
    """Every event of a job."""
    from sparehand.desk import logbook

    logbook.show_job(job, data)


@log.command("verify")
def log_verify(job: AnyJob = None, data: Data = None) -> None:
    """Whether the log is whole; exit 1 if not."""
    from sparehand.desk import logbook

    raise typer.Exit(logbook.verify_log(job, data))


@log.command("export")
def log_export(file: File, job: AnyJob = None, data: Data = None) -> None:
    """The log as JSON lines."""
    from sparehand.desk import logbook

    logbook.export_jobs(file, job, data)


@log.command("import")
def log_import(file: File, data: Data = None) -> None:
    """Take jobs from JSON lines."""
    from sparehand.desk import logbook

    logbook.import_jobs(file, data)


@log.command("backup")
def log_backup(file: File, data: Data = None) -> None:
    """Database and settings in one archive."""
    from sparehand.desk import logbook

    logbook.backup_to(file, data)


@log.command("restore")
def log_restore(file: File, data: Data = None) -> None:
    """A backup into a data folder without a log."""
    from sparehand.desk import logbook

    logbook.restore_from(file, data)


@log.command("rescue")
def log_rescue(file: File, data: Data = None) -> None:
    """What can be read of a damaged log, into a new one."""
    from sparehand.desk import logbook

    logbook.rescue_into(file, data)


@log.command("tidy")
def log_tidy(
    yes: Annotated[bool, typer.Option("--yes", help="Delete what is listed.")] = False, data: Data = None
) -> None:
    """Recordings and customer data past keeping: a list, and with --yes they are deleted."""
    from sparehand.desk import logbook

    logbook.tidy(data, really=yes)


@person.command("forget")
def person_forget(
    name: Annotated[str, typer.Argument(metavar="NAME", help="The name as it was recorded.")],
    shared: Annotated[
        str | None, typer.Option(metavar="URL", help="In the shared database too, by a login that may forget.")
    ] = None,
    data: Data = None,
) -> None:
    """Blank a technician's name, and delete what that person recorded."""
    from sparehand.desk import logbook, shop_sharing

    logbook.forget_person(name, data)
    if shared:
        shop_sharing.forget_shared(shared, name, data)
