"""The quick list of jobs is the list that the log itself gives, or none where the log has to be asked."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from labour.examples import job
from log.demo import opening, recorded
from sparehand.job.events import JobClosed
from sparehand.log.job_list import listed_jobs
from sparehand.log.sqlite import SqliteEventStore


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqliteEventStore]:
    store = SqliteEventStore(tmp_path / "log.sqlite")
    for number, name in enumerate(("Ida Demo", "Ole Demo")):
        id = f"26112{number}-k7qm"
        store.append(id, 0, recorded(id, 0, opening(technician=name), *([JobClosed()] if number else [])))
    yield store
    store.close()


def test_it_is_the_list_of_the_log(store: SqliteEventStore) -> None:
    assert listed_jobs(store.path) == store.jobs()
    store.forget_person("Ida Demo")
    assert listed_jobs(store.path) == store.jobs()
    assert listed_jobs(store.path.with_name("none.sqlite")) == ()


def test_jobs_whose_times_do_not_count_say_why(store: SqliteEventStore) -> None:
    store.times.keep(job(0, {"access": 20}).model_copy(update={"job": "261121-k7qm", "left_out": "practice only"}))
    assert [header.left_out for header in store.jobs()] == ["", "practice only"]
    assert listed_jobs(store.path) == store.jobs()


@pytest.mark.parametrize(
    "damage",
    [
        "PRAGMA user_version = 1",
        "PRAGMA application_id = 7",
        "UPDATE people SET name = 'Someone else'",
        "UPDATE jobs SET opened_at = 'yesterday'",
        "DELETE FROM jobs WHERE closed_batch IS NULL",
    ],
)
def test_whatever_wants_a_closer_look_is_left_to_the_log(store: SqliteEventStore, damage: str) -> None:
    with sqlite3.connect(store.path) as raw:
        raw.execute(damage)
    raw.close()
    assert listed_jobs(store.path) is None


def test_what_is_no_database_is_left_to_the_log(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite"
    path.write_text("no database", encoding="utf-8")
    assert listed_jobs(path) is None


def test_the_command_loads_neither_the_database_library_nor_the_estimates(store: SqliteEventStore) -> None:
    heavy = ("sqlalchemy", "numpy", "scipy", "sparehand.job.events")
    told = (
        "import sys\nfrom sparehand.cli.command_line import main\n"
        "try:\n    main(['hours', '--data', sys.argv[1]])\n"
        f"finally:\n    print([name for name in {heavy} if name in sys.modules])"
    )
    done = subprocess.run(
        [sys.executable, "-c", told, str(store.path.parent)], capture_output=True, text=True, check=False
    )
    assert "261120-k7qm" in done.stdout
    assert done.stdout.strip().endswith("[]")
