"""Opening, refusing and sharing a log file: each failure is one line that says what and what to do."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from log.demo import opening, recorded
from sparehand.ground.errors import FailureError, InputError, SparehandError
from sparehand.job.events import HoldStarted
from sparehand.log.connection import connect
from sparehand.log.migrations import MIGRATIONS, migrate
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import DamagedLogError

JOB = "261125-k7qm"
PARTS = HoldStarted(reason="parts")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "data" / "log.sqlite"


@pytest.fixture
def store(path: Path) -> Iterator[SqliteEventStore]:
    store = SqliteEventStore(path)
    store.append(JOB, 0, recorded(JOB, 0, opening(), PARTS))
    yield store
    store.close()


def refusal(kind: type[SparehandError], path: Path, **options: bool | int) -> str:
    with pytest.raises(kind) as caught:
        SqliteEventStore(path, **options).jobs()  # type: ignore[arg-type]
    assert "\n" not in str(caught.value)
    assert str(path) in str(caught.value)
    return str(caught.value)


def test_a_commit_waits_for_the_disk(store: SqliteEventStore) -> None:
    with store.engine.connect() as connection:
        told = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar()
            for name in ("journal_mode", "synchronous", "foreign_keys", "busy_timeout")
        }
    assert told == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1, "busy_timeout": 5000}


def test_what_was_recorded_is_there_when_the_log_is_opened_again(store: SqliteEventStore, path: Path) -> None:
    again = SqliteEventStore(path)
    assert again.events(JOB) == store.events(JOB)
    again.append(JOB, 2, recorded(JOB, 2, PARTS))
    assert len(store.events(JOB)) == 3
    again.close()


def test_a_log_is_read_while_another_process_writes_it(store: SqliteEventStore, path: Path) -> None:
    reader = SqliteEventStore(path, read_only=True)
    store.append(JOB, 2, recorded(JOB, 2, PARTS))
    assert len(reader.events(JOB)) == 3
    with pytest.raises(FailureError, match="cannot be written"):
        reader.append(JOB, 3, recorded(JOB, 3, PARTS))
    reader.close()


def test_reading_a_log_that_is_not_there_shows_none_and_makes_none(path: Path) -> None:
    reader = SqliteEventStore(path, read_only=True)
    assert reader.jobs() == ()
    assert not path.parent.exists()
    reader.close()


def test_a_locked_log_is_told_and_nothing_is_recorded(store: SqliteEventStore, path: Path) -> None:
    hasty = SqliteEventStore(path, busy_ms=20)
    blocker = sqlite3.connect(path, isolation_level=None)
    blocker.execute("BEGIN IMMEDIATE")
    with pytest.raises(FailureError, match="is locked by another program") as caught:
        hasty.append(JOB, 2, recorded(JOB, 2, PARTS))
    assert caught.value.__cause__ is not None
    blocker.execute("ROLLBACK")
    blocker.close()
    hasty.append(JOB, 2, recorded(JOB, 2, PARTS))
    assert len(store.events(JOB)) == 3
    hasty.close()


def test_a_file_that_is_no_database_is_refused_and_left_alone(path: Path) -> None:
    path.parent.mkdir()
    path.write_bytes(b"a shopping list\n" * 100)
    assert "is no database" in refusal(InputError, path)
    assert path.read_bytes() == b"a shopping list\n" * 100


def test_another_programs_database_is_refused_and_left_alone(path: Path) -> None:
    path.parent.mkdir()
    other = sqlite3.connect(path)
    other.execute("CREATE TABLE recipes (name TEXT)")
    other.commit()
    other.close()
    assert "another program's database" in refusal(InputError, path)


@pytest.mark.parametrize("read_only", [False, True])
@pytest.mark.usefixtures("store")
def test_a_log_of_a_newer_version_is_refused(path: Path, read_only: bool) -> None:
    with sqlite3.connect(path) as newer:
        newer.execute(f"PRAGMA user_version = {len(MIGRATIONS) + 1}")
    assert "written by a newer Sparehand" in refusal(FailureError, path, read_only=read_only)


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("not a folder")
    refusal(FailureError, tmp_path / "file" / "log.sqlite")


def older_log(path: Path) -> None:
    """A log as the first schema had it, with one job."""
    path.parent.mkdir()
    engine = connect(path, read_only=False, busy_ms=1000)
    migrate(engine, path, MIGRATIONS[:1])
    engine.dispose()
    with sqlite3.connect(path) as raw:
        raw.execute("INSERT INTO people VALUES ('person-1', 'Ida Demo', 0)")
    raw.close()


@pytest.mark.parametrize("read_only", [False, True])
def test_an_older_log_is_brought_up_with_a_copy_made_first(path: Path, read_only: bool) -> None:
    older_log(path)
    store = SqliteEventStore(path, read_only=read_only)
    assert store.times.imported() == ()
    store.close()
    copy = sqlite3.connect(path.with_name("log.schema-1.sqlite"))
    assert copy.execute("PRAGMA user_version").fetchone() == (1,)
    assert copy.execute("SELECT name FROM people").fetchone() == ("Ida Demo",)
    copy.close()


def test_a_migration_that_fails_leaves_the_log_as_it_was(path: Path) -> None:
    older_log(path)
    engine = connect(path, read_only=False, busy_ms=1000)
    with pytest.raises(Exception, match="syntax error"):
        migrate(engine, path, (MIGRATIONS[0], ("CREATE TABLE half (x)", "CREATE NONSENSE")))
    engine.dispose()
    with sqlite3.connect(path) as raw:
        assert raw.execute("PRAGMA user_version").fetchone() == (1,)
        assert raw.execute("SELECT count(*) FROM sqlite_master WHERE name = 'half'").fetchone() == (0,)
    raw.close()


def test_the_tables_in_code_are_those_that_the_migrations_make(store: SqliteEventStore) -> None:
    from sparehand.log.tables import METADATA

    with store.engine.connect() as connection:
        for table in METADATA.sorted_tables:
            made = [row[1] for row in connection.exec_driver_sql(f"PRAGMA table_info({table.name})")]
            assert made == [column.name for column in table.columns]


CLAIMER = """
import sys
from pathlib import Path
from sparehand.log.claim import claim
with claim(Path(sys.argv[1]), sys.argv[2] or "bench", "taken"):
    print("held", flush=True)
    sys.stdin.read()
"""


@contextmanager
def another_process_holds(path: Path, job: str) -> Iterator[int]:
    """A process with a claim on a job, or on the bench where that is empty; it is killed at the end."""
    other = subprocess.Popen(
        [sys.executable, "-c", CLAIMER, str(path.with_suffix(".claims")), job],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    assert other.stdout is not None
    assert other.stdin is not None
    assert other.stdout.readline() == "held\n"
    yield other.pid
    other.kill()
    other.wait()
    other.stdin.close()
    other.stdout.close()


def test_a_job_claimed_by_another_process_is_refused_until_that_is_killed(store: SqliteEventStore, path: Path) -> None:
    with another_process_holds(path, JOB) as process:
        with pytest.raises(FailureError, match=rf"open in another window \(process {process}\)"), store.claim(JOB):
            pass
        with store.claim_bench():
            pass
    with store.claim(JOB):
        pass


def test_the_bench_running_twice_on_one_data_folder_is_refused(store: SqliteEventStore, path: Path) -> None:
    with another_process_holds(path, "") as process:
        told = rf"this bench runs in another window already \(process {process}\); go on there"
        with pytest.raises(FailureError, match=told), store.claim_bench():
            pass
    with store.claim_bench():
        pass


def test_a_name_is_in_one_table_only(store: SqliteEventStore, path: Path) -> None:
    store.forget_person("Ida Demo")
    with sqlite3.connect(path) as raw:
        dump = "\n".join(raw.iterdump())
    raw.close()
    assert "Ida" not in dump
    assert "person-" in dump


def test_an_id_that_is_taken_already_is_refused_and_nothing_recorded(store: SqliteEventStore) -> None:
    twice = recorded(JOB, 2, PARTS)[0].model_copy(update={"id": store.events(JOB)[0].id})
    with pytest.raises(FailureError, match="UNIQUE"):
        store.append(JOB, 2, [twice])
    assert len(store.events(JOB)) == 2


def test_a_vanished_job_is_never_silent(store: SqliteEventStore, path: Path) -> None:
    with sqlite3.connect(path) as raw:
        raw.execute("DELETE FROM events")
        raw.execute("DELETE FROM jobs")
    raw.close()
    with pytest.raises(DamagedLogError, match=f"has lost 1 job \\({JOB}\\)"):
        store.jobs()
    with pytest.raises(DamagedLogError, match="has lost events 0 to 1, the last it had"):
        store.events(JOB)
