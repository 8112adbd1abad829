"""Procedure files at the desk: which there are, what is wrong with them, and what a run of one needs at hand."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from sparehand.desk.run_options import asked_sides
from sparehand.ground.choices import listed
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.terminal import new_console
from sparehand.procedures.check import check_file
from sparehand.procedures.findings import format_findings
from sparehand.procedures.library import list_procedures, origin_words, procedure_file


def print_procedures(data: Path | None) -> None:
    """The procedures that can be worked by, with their operations."""
    from rich.text import Text

    console = new_console()
    folder = data_folder(data)
    for loaded in list_procedures(folder):
        procedure = loaded.procedure
        marks = filter(None, ("demonstration data" * procedure.demo, origin_words(loaded, folder)))
        mark = "".join(f" ({mark})" for mark in marks)
        console.print(Text.assemble((procedure.id, "bold"), f"  {procedure.title}{mark}"))
        for operation in procedure.operations:
            console.print(f"    {operation.id}  {operation.title}")
    console.print("Begin one with: sparehand work PROCEDURE")


def check_files(names: Sequence[str], data: Path | None) -> int:
    """Print what is to be said of procedures, by file or id; gives the exit code: 2 with any error."""
    from sparehand.setup.hearing_trials import procedure_hearing

    hearing = procedure_hearing()
    errors = 0
    for path in (procedure_file(name, data_folder(data)) for name in names):
        findings = check_file(path, hearing)
        errors += sum(finding.severity == "error" for finding in findings)
        print(format_findings(path, findings) if findings else f"{path}: nothing found")
    return 2 if errors else 0


def print_kit(procedure: str, operations: str, sides: str, data: Path | None) -> None:
    """Tools, sizes, wrenches, parts and consumables of a run."""
    from sparehand.job.answering.answer_lessons import at_the_press
    from sparehand.job.job_lessons import in_use
    from sparehand.log.sqlite import SqliteEventStore
    from sparehand.procedures.kit import kit
    from sparehand.procedures.library import find_procedure
    from sparehand.procedures.plan import plan_run
    from sparehand.screens.kit_list import kit_lines
    from sparehand.shop.earlier_jobs import shop_lessons

    folder = data_folder(data)
    loaded = find_procedure(procedure, folder)
    plan = plan_run(loaded.procedure, listed(operations), asked_sides(sides, loaded.procedure), ways=None)
    left = in_use(shop_lessons(SqliteEventStore(folder / LOG_FILE, read_only=True)), loaded.procedure.id)
    print("\n".join(kit_lines(kit(plan), at_the_press(plan, left))))
