"""Phase times of a log of before schema 7, one row each, are the same times in a log of today."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from sparehand.log.connection import connect
from sparehand.log.migrations import MIGRATIONS, migrate
from sparehand.log.rescue import rescue
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import DamagedLogError
from sparehand.log.time_rows import COLUMNS as TIMES_COLUMNS
from sparehand.log.times_csv import import_times
from sparehand.log.verify import verify

COLUMNS = (
    "place, job, phase, side, technician, opened_at, procedure, operations, work_seconds, held_seconds, snags, "
    "corrosion, support, complete, rework, imported, seal"
)
FIRST = "'person-1', '2026-03-02T08:00:00+01:00', 'demo-bracket', 'renew;drain'"
ROWS = (
    f"1, 'j1', 'fit', 'left', {FIRST}, 1200.0, 60.5, 'seized:300', 'none', 'lift', 1, 0, 1, 3945734094",
    "2, 'j2', 'fit', 'left', 'person-1', '2026-03-03T08:00:00+01:00', 'demo-bracket', 'renew', 900.0, 0.0, '', "
    "'unknown', 'lift', 1, 0, 1, 108451026",
    f"3, 'j1', 'clean', '', {FIRST}, 300.125, 0.0, '', 'none', 'lift', 0, 0, 1, 2694485518",
)
"""The checksums at the end are those that the version before schema 7 gave these rows."""
FILE = f"""{",".join(TIMES_COLUMNS)}
j2,2026-03-03T08:00:00+01:00,demo-bracket,renew,Ida Demo,left,fit,900,0,,unknown,lift,yes
j1,2026-03-02T08:00:00+01:00,demo-bracket,renew;drain,Ida Demo,left,fit,1200,60.5,seized:300,none,lift,yes
j1,2026-03-02T08:00:00+01:00,demo-bracket,renew;drain,Ida Demo,,clean,300.125,0,,none,lift,no
"""


def older_log(path: Path, version: int) -> None:
    engine = connect(path, read_only=False, busy_ms=1000)
    migrate(engine, path, MIGRATIONS[:version])
    engine.dispose()
    with closing(sqlite3.connect(path)) as raw, raw:
        raw.execute("INSERT INTO people (id, name, seal) VALUES ('person-1', 'Ida Demo', 1791583933)")
        if version > 2:
            raw.execute("INSERT INTO tallies VALUES ('demo-bracket', 1, NULL, 0)")
        for row in ROWS:
            raw.execute(f"INSERT INTO phase_times ({COLUMNS}) VALUES ({row})")


@pytest.mark.parametrize("version", range(2, 7))
def test_they_are_the_same_and_the_same_file_brings_nothing_new(tmp_path: Path, version: int) -> None:
    older_log(tmp_path / "log.sqlite", version)
    older = SqliteEventStore(tmp_path / "log.sqlite")
    (tmp_path / "times.csv").write_text(FILE, encoding="utf-8")
    today = SqliteEventStore(tmp_path / "today.sqlite")
    import_times(tmp_path / "times.csv", today)
    assert older.times.imported() == today.times.imported()
    ours, theirs = older.times.tallies(), today.times.tallies()
    assert (
        [sum(tally.jobs.values()) for tally in ours.tallies]
        == [2]
        == [sum(tally.jobs.values()) for tally in theirs.tallies]
    )
    report = import_times(tmp_path / "times.csv", older)
    assert (report.taken, report.known, report.bad) == (0, 3, 0)
    for store in (older, today):
        store.close()


def test_one_that_was_changed_behind_the_log_s_back_is_told_as_before(tmp_path: Path) -> None:
    older_log(tmp_path / "log.sqlite", 6)
    with closing(sqlite3.connect(tmp_path / "log.sqlite")) as raw, raw:
        raw.execute("UPDATE phase_times SET work_seconds = 950 WHERE job = 'j2'")
        raw.execute("UPDATE phase_times SET complete = 'perhaps', work_seconds = 'x' WHERE phase = 'clean'")
    store = SqliteEventStore(tmp_path / "log.sqlite")
    told = str(verify(store)[0])
    assert "the times of job j1 are not what was written" in told
    assert "the times of job j2 are not what was written" in told
    with pytest.raises(DamagedLogError):
        store.times.imported()
    store.close()


@pytest.mark.parametrize("version", [2, 6])
def test_rescued_from_an_older_log_they_are_the_same(tmp_path: Path, version: int) -> None:
    older_log(tmp_path / "log.sqlite", version)
    with closing(sqlite3.connect(tmp_path / "log.sqlite")) as raw, raw:
        raw.execute("UPDATE phase_times SET work_seconds = 950 WHERE job = 'j2'")
    assert rescue(tmp_path / "log.sqlite", tmp_path / "rescued.sqlite").times_kept == 2
    rescued = SqliteEventStore(tmp_path / "rescued.sqlite")
    (kept,) = rescued.times.imported()
    assert [(part.phase, part.technician, part.work_seconds) for part in kept.phases] == [
        ("fit", "Ida Demo", 1200.0),
        ("clean", "Ida Demo", 300.125),
    ]
    rescued.close()
