"""What is done at the desk: timesheets, job cards, quotes, checks."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from pydantic import TypeAdapter
from rich.console import Console
from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn

from sparehand.ground.choices import listed, one_of
from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.job.answering.answer_lessons import at_the_press
from sparehand.job.events import Corrosion, Support
from sparehand.job.job_lessons import in_use
from sparehand.job.state import fold
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import JobHeader
from sparehand.log.timesheet import timesheet
from sparehand.procedures.model import Procedure, Side
from sparehand.settings import load_settings
from sparehand.shop.earlier_jobs import other_procedures, shop_lessons, shop_times


@dataclass(frozen=True)
class Asked:
    """A quote as it was asked for on the command line."""

    procedure: str
    operations: str = ""
    sides: str = ""
    technician: str | None = None
    corrosion: str = "none"
    support: str = "lift"
    risk: float = 0.3
    hours: float | None = None
    allowance: str = "none"


def print_hours(job: str | None, *, as_json: bool, data: Path | None) -> None:
    """The timesheet of `job`, or the list of jobs."""
    from sparehand.screens.hours_tables import jobs_table, timesheet_table

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    if job is None:
        headers = store.jobs()
        for header in headers if as_json else ():
            print(TypeAdapter(JobHeader).dump_json(header).decode())
        if not as_json:
            Console().print(jobs_table(headers))
        return
    state = fold(store.events(store.find_job(job)))
    sheet = timesheet(state)
    if as_json:
        print(sheet.model_dump_json())
    else:
        Console().print(timesheet_table(sheet, state.plan.procedure))


def write_tag(job: str, to: Path | None, data: Path | None) -> Path:
    """The tag that goes with the vehicle of `job`, as a page; gives where it was written."""
    from sparehand.screens.tag import vehicle_tag

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    id = store.find_job(job)
    target = to or Path(f"{id}-tag.html")
    write_page(target, vehicle_tag(fold(store.events(id))))
    Console().print(f"Tag: {target}")
    return target


def write_card(job: str, to: Path | None, data: Path | None) -> Path:
    """The job card of `job` as a page; gives where it was written."""
    from sparehand.screens.card import job_card

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    id = store.find_job(job)
    history = store.events(id)
    state = fold(history)
    target = to or Path(f"{id}.html")
    write_page(target, job_card(state, timesheet(state), history))
    Console().print(f"Job card: {target}")
    return target


def print_quote(asked: Asked, *, as_json: bool, report: Path | None, data: Path | None) -> None:
    """Hours to quote, on screen or as JSON, and as a page where `report` names one."""
    from sparehand.labour.forecasting.quote import QuoteRequest, quote_from_belief
    from sparehand.screens.labour_report import labour_report
    from sparehand.screens.quote_table import quote_table
    from sparehand.shop.shop_belief import standing

    folder = data_folder(data)
    store = SqliteEventStore(folder / LOG_FILE, read_only=True)
    procedure = asked_procedure(asked.procedure, store, folder)
    name = procedure.id if procedure else asked.procedure
    request = QuoteRequest(
        procedure=name,
        operations=listed(asked.operations),
        sides=asked_sides(asked.sides),
        technician=asked.technician,
        corrosion=one_of(asked.corrosion, Corrosion, "the corrosion"),
        support=one_of(asked.support, Support, "the support"),
        risk=_share(asked.risk),
        hours=asked.hours,
        allowance_percent=_allowance(asked.allowance),
    )
    stands = standing(store, procedure, name, folder)
    given = quote_from_belief(request, procedure, stands.own, stands.belief, stands.plans)
    if as_json:
        print(given.model_dump_json())
    else:
        Console().print(quote_table(given))
    if report:
        jobs = shop_times(store)
        others = other_procedures({job.procedure for job in jobs}, name, folder)
        write_page(report, labour_report(given, jobs, procedure, others))
        Console(stderr=as_json).print(f"Labour report: {report}")


def check_files(files: Sequence[Path]) -> int:
    """Print what is to be said of procedure files; gives the exit code: 2 with any error."""
    from sparehand.procedures.check import check_file
    from sparehand.procedures.findings import format_findings
    from sparehand.setup.hearing_trials import procedure_hearing

    hearing = procedure_hearing()
    errors = 0
    for path in files:
        findings = check_file(path, hearing)
        errors += sum(finding.severity == "error" for finding in findings)
        print(format_findings(path, findings) if findings else f"{path}: nothing found")
    return 2 if errors else 0


def print_selfcheck(*, as_json: bool, microphone: bool, data: Path | None) -> int:
    """What this machine has, with a trial of the microphone if asked; the exit code is 0 where a job can be run."""
    from sparehand.setup.selfcheck import selfcheck

    folder = data_folder(data)
    report = selfcheck(folder)
    if microphone:
        from sparehand.setup.device_trials import Devices
        from sparehand.setup.microphone_check import check_microphone

        tried = check_microphone(load_settings(folder), Devices(folder), lambda line: print(line, file=sys.stderr))
        report = report.model_copy(update={"items": (*report.items, tried)})
    print(report.model_dump_json() if as_json else "\n".join(report.lines()))
    return 0 if report.can_run_a_job else 1


def print_kit(procedure: str, operations: str, sides: str, data: Path | None) -> None:
    """Tools, sizes, wrenches, parts and consumables of a run."""
    from sparehand.procedures.kit import kit
    from sparehand.procedures.library import find_procedure
    from sparehand.procedures.plan import plan_run
    from sparehand.screens.kit_list import kit_lines

    folder = data_folder(data)
    loaded = find_procedure(procedure, folder)
    plan = plan_run(loaded.procedure, listed(operations), asked_sides(sides))
    left = in_use(shop_lessons(SqliteEventStore(folder / LOG_FILE, read_only=True)), loaded.procedure.id)
    print("\n".join(kit_lines(kit(plan), at_the_press(plan, left))))


def take_times(file: Path, *, skip_bad: bool, data: Path | None) -> int:
    """Import phase times and tell what became of the file; gives the exit code: 2 where a row was bad."""
    from sparehand.log.times_csv import import_times
    from sparehand.shop.shop_belief import believe_ahead

    folder = data_folder(data)
    store = SqliteEventStore(folder / LOG_FILE)
    console = Console(stderr=True)
    columns = (TextColumn("reading"), BarColumn(), TaskProgressColumn())
    with Progress(*columns, console=console, disable=not console.is_terminal) as bar:
        task = bar.add_task("reading", total=1.0)
        report = import_times(file, store, skip_bad, lambda share: bar.update(task, completed=share))
    for error in report.errors:
        print(f"{file}: {error}")
    print(f"{file}: {report.rows} rows, {report.taken} taken, {report.known} there already, {report.bad} bad")
    if report.bad and not skip_bad:
        print("Nothing was taken. Mend the rows, or take the good ones with --skip-bad.")
    if report.taken:
        believe_ahead(store, folder)
    return 2 if report.bad and not skip_bad else 0


def give_times(file: Path, data: Path | None) -> None:
    """Export every phase time of closed and imported jobs."""
    from sparehand.log.times_csv import export_times
    from sparehand.log.times_parquet import export_times_parquet

    store = SqliteEventStore(data_folder(data) / LOG_FILE, read_only=True)
    export = export_times_parquet if file.suffix == ".parquet" else export_times
    print(f"{file}: {export(shop_times(store), file)} rows")


def remap_times(name: str, before: str, phase: str, data: Path | None) -> None:
    """Let times and lessons of a phase's earlier name count as its own. Raises InputError where there are none."""
    from sparehand.log.phase_renames import remember_rename
    from sparehand.procedures.library import find_procedure

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
    print(f"{procedure.id}: {count} times and {lessons} lessons of '{before}' count as '{phase}'.")


def write_page(path: Path, page: str) -> None:
    """Write a page. Raises FailureError where that is not possible."""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(page, encoding="utf-8")
    except OSError as error:
        raise FailureError(f"{path} cannot be written ({error.strerror}); choose another place") from error


def asked_procedure(name: str, store: SqliteEventStore, folder: Path) -> Procedure | None:
    """The procedure asked for, or None where only times know it, imported or fetched."""
    from sparehand.procedures.library import find_procedure
    from sparehand.shop.shop_belief import has_times

    try:
        return find_procedure(name, folder).procedure
    except InputError:
        if has_times(store, name, folder):
            return None
        raise


def asked_sides(given: str) -> tuple[Side, ...]:
    """The sides of an option. Raises InputError for one that is none."""
    return tuple(one_of(side, Side, "the side") for side in listed(given))


def _share(risk: float) -> float:
    if not 0 < risk < 1:
        raise InputError(f"the risk {risk} is no share; give one between 0 and 1, such as 0.3")
    return risk


def _allowance(given: str) -> float | None:
    if given == "none":
        return None
    try:
        return float(given)
    except ValueError as error:
        raise InputError(f"the allowance '{given}' is no percentage; say none or a number such as 15") from error
