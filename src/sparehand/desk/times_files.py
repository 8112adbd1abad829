"""Phase times in files: taken in, written out, and counted under a phase's new name."""

from __future__ import annotations

from functools import partial
from pathlib import Path

from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn

from sparehand.ground.errors import InputError
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.plurals import how_many
from sparehand.ground.terminal import new_console
from sparehand.log.sqlite import SqliteEventStore
from sparehand.shop.earlier_jobs import other_procedures, shop_lessons, shop_times
from sparehand.times.sample import Plans


def take_times(file: Path, *, skip_bad: bool, data: Path | None) -> int:
    """Import phase times and tell what became of the file; gives the exit code: 2 where a row was bad."""
    from sparehand.log.times_csv import import_times
    from sparehand.shop.shop_belief import believe_ahead

    folder = data_folder(data)
    store = SqliteEventStore(folder / LOG_FILE)
    console = new_console(stderr=True)
    columns = (TextColumn("reading"), BarColumn(), TaskProgressColumn())
    with Progress(*columns, console=console, disable=not console.is_terminal) as bar:
        task = bar.add_task("reading", total=1.0)
        told = partial(bar.update, task)
        report = import_times(file, store, skip_bad, lambda share: told(completed=share), partial(planned_of, folder))
    for error in report.errors:
        print(f"{file}: {error}")
    print(
        f"{file}: {how_many(report.rows, 'row')}, {report.taken} taken, {report.known} there already, {report.bad} bad"
    )
    if report.bad and not skip_bad:
        print("Nothing was taken. Mend the rows, or take the good ones with --skip-bad.")
    if report.taken:
        believe_ahead(store, folder)
    return 2 if report.bad and not skip_bad else 0


def planned_of(folder: Path, name: str) -> dict[str, float]:
    """The planned seconds of a procedure's phases; none where it is not installed."""
    return Plans.of(other_procedures([name], "", folder)).of_procedure(name)


def give_times(file: Path, data: Path | None) -> None:
    """Export every phase time of closed and imported jobs."""
    from sparehand.log.times_csv import export_times
    from sparehand.log.times_parquet import export_times_parquet

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    export = export_times_parquet if file.suffix == ".parquet" else export_times
    print(f"{file}: {how_many(export(shop_times(store), file), 'row')}")


def remap_times(name: str, before: str, phase: str, data: Path | None) -> None:
    """Let times and lessons of a phase's earlier name count as its own. Raises InputError where there are none."""
    from sparehand.log.phase_renames import remember_rename
    from sparehand.procedures.library import find_procedure
    from sparehand.shop.shop_belief import believe_ahead

    folder = data_folder(data)
    procedure = find_procedure(name, folder).procedure
    store = SqliteEventStore(folder / LOG_FILE, read_only=True)
    timed = [each.phase for job in shop_times(store, procedure.id) for each in job.phases]
    told = [lesson for lesson in shop_lessons(store) if lesson.procedure == procedure.id]
    count, lessons = timed.count(before), sum(lesson.note.at.at.phase == before for lesson in told)
    if not count and not lessons:
        there = ", ".join(sorted(set(timed))) or "none"
        raise InputError(f"nothing is known of a phase '{before}' of {procedure.id}; there are times of: {there}")
    remember_rename(folder, procedure, before, phase)
    believe_ahead(store, folder)
    print(
        f"{procedure.id}: {how_many(count, 'time')} and {how_many(lessons, 'lesson')} of '{before}' count as '{phase}'."
    )
