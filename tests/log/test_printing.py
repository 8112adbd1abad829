"""What comes from outside is printed as text: it steers no terminal and counts as no markup."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest
from rich.table import Table
from sqlalchemy import select, update

from log.demo import opening, recorded
from sparehand.cli.app import run_command
from sparehand.ground.places import LOG_FILE
from sparehand.ground.terminal import new_console, print_safely, unfiltered
from sparehand.job.events import LessonKept, Vehicle
from sparehand.log.connection import writing
from sparehand.log.shown_names import seal_of_person
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.tables import PEOPLE
from sparehand.procedures.plan import plan_run

JOB = "261125-k7qm"
HOSTILE = "\x1b[2J\x1b]0;owned\x07\u202e[/nonsense]\r"


def test_a_print_writes_no_control_character(monkeypatch: pytest.MonkeyPatch) -> None:
    out = io.StringIO()
    monkeypatch.setattr(sys, "stdout", out)
    monkeypatch.setattr(sys, "stderr", out)
    print_safely()
    print(f"a\tb\n{HOSTILE}é")
    assert out.getvalue() == "a\tb\n [2J ]0;owned  [/nonsense] é\n"
    unfiltered(sys.stdout).write("\x1b[K")
    assert out.getvalue().endswith("\x1b[K")


def test_a_table_writes_its_own_styles_and_nothing_of_its_cells() -> None:
    console = new_console()
    console.file = io.StringIO()
    table = Table("[bold]job[/]")
    table.add_row(HOSTILE)
    console.print(table, "[/nonsense]")
    shown = console.file.getvalue()
    assert "\x1b" not in shown
    assert "\x07" not in shown
    assert "[bold]job[/]" in shown
    assert shown.count("[/nonsen") == 2


@pytest.mark.parametrize(
    "command", [["log", "show", JOB], ["log", "verify"], ["hours"], ["hours", JOB], ["lessons", "list"]]
)
def test_no_command_prints_what_a_record_says_raw(
    command: list[str], tmp_path: Path, capsysbinary: pytest.CaptureFixture[bytes]
) -> None:
    store = SqliteEventStore(tmp_path / LOG_FILE)
    opened = opening().model_copy(update={"vehicle": Vehicle(name=HOSTILE), "complaint": HOSTILE})
    step = plan_run(opened.procedure).steps[0]
    store.append(JOB, 0, recorded(JOB, 0, opened, LessonKept(at=step, words=HOSTILE)))
    with writing(store.engine) as connection:
        for id in connection.scalars(select(PEOPLE.c.id)).all():
            seal = seal_of_person(id, HOSTILE)
            connection.execute(update(PEOPLE).where(PEOPLE.c.id == id).values(name=HOSTILE, seal=seal))
    store.close()
    try:
        run_command([*command, "--data", str(tmp_path)])
    except SystemExit as ended:
        assert ended.code in (0, None)  # noqa: PT017
    printed = b"".join(capsysbinary.readouterr())
    assert printed
    assert b"\x1b" not in printed
    assert b"\x07" not in printed
