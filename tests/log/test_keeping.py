"""Verified, shown, exported, backed up, rescued: what the log holds can be proved, moved, and saved from damage."""

from __future__ import annotations

import json
import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from log.demo import MORNING, closing, long_job, opening, recorded
from sparehand.ground.errors import InputError
from sparehand.ground.places import bundled
from sparehand.job.events import HoldStarted, Recorded
from sparehand.log.archive import backup, restore
from sparehand.log.event_rows import StoredEvent, stored_events
from sparehand.log.jsonl import export_log, import_log
from sparehand.log.rescue import rescue, spans
from sparehand.log.show import event_lines
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import DamagedLogError
from sparehand.log.times_csv import import_times
from sparehand.log.verify import verify
from sparehand.times.job_times import JobTimes, PhaseTime

JOB, OTHER = "261125-k7qm", "261126-b2xz"


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "log.sqlite"


@pytest.fixture
def store(path: Path) -> Iterator[SqliteEventStore]:
    store = SqliteEventStore(path)
    for job in (JOB, OTHER):
        for one in long_job(job, 9):
            store.append(job, one.sequence, [one])
    yield store
    store.close()


def changed(path: Path, statement: str, *values: object) -> None:
    with sqlite3.connect(path) as raw:
        raw.execute(statement, values)
    raw.close()


def test_a_sound_log_is_found_sound(store: SqliteEventStore) -> None:
    verdicts = verify(store)
    assert [str(verdict) for verdict in verdicts] == [
        "the database: sound",
        f"job {JOB}: sound, 9 events",
        f"job {OTHER}: sound, 9 events",
    ]
    assert [verdict.job for verdict in verify(store, JOB)] == [JOB]


DAMAGES = [
    ("UPDATE events SET body = replace(body, 'parts', 'phone') WHERE job = ? AND sequence = 3", "event 3 that is not"),
    ("DELETE FROM events WHERE job = ? AND sequence = 4", "has lost event 4"),
    ("DELETE FROM events WHERE job = ? AND sequence > 6", "has lost events 7 to 8, the last it had"),
    ("UPDATE jobs SET vehicle = 'another' WHERE job = ?", "stands otherwise in the list of jobs"),
    ("DELETE FROM events WHERE job = ?", "has lost events 0 to 8"),
]


@pytest.mark.parametrize(("statement", "says"), DAMAGES)
def test_every_change_behind_its_back_is_told(store: SqliteEventStore, path: Path, statement: str, says: str) -> None:
    changed(path, statement, JOB)
    hurt = [verdict for verdict in verify(store) if not verdict.sound]
    assert [verdict.job for verdict in hurt] == [JOB]
    assert says in str(hurt[0])


def test_a_whole_chain_that_was_forged_anew_is_told_by_the_mark(store: SqliteEventStore, path: Path) -> None:
    forged = SqliteEventStore(path.with_name("forged.sqlite"))
    for one in long_job(JOB, 9, lambda _: HoldStarted(reason="phone")):
        forged.append(JOB, one.sequence, [one])
    rows = [(row.body, row.chain, JOB, row.sequence) for row in _kept(forged)]
    forged.close()
    with sqlite3.connect(path) as raw:
        raw.executemany("UPDATE events SET body = ?, chain = ? WHERE job = ? AND sequence = ?", rows)
    raw.close()
    assert "event 8 that was exchanged" in str(verify(store, JOB)[0])


def _kept(store: SqliteEventStore) -> tuple[StoredEvent, ...]:
    with store.engine.connect() as connection:
        return stored_events(connection, JOB)


def test_a_lost_mark_is_told(store: SqliteEventStore, path: Path) -> None:
    (path.with_suffix(".marks") / f"{JOB}.mark").unlink()
    assert "no high-water mark" in str(verify(store, JOB)[0])


def test_kept_times_must_be_those_that_a_replay_tells(store: SqliteEventStore) -> None:
    store.append(JOB, 9, recorded(JOB, 9, closing()))

    def times_of(history: tuple[Recorded, ...], seconds: float = 9) -> JobTimes:
        phase = PhaseTime(phase="fit", technician="Ida Demo", work_seconds=seconds, held_seconds=0, complete=True)
        return JobTimes(
            job=JOB,
            opened_at=history[0].at.wall,
            procedure="demo-bracket",
            operations=("renew",),
            corrosion="none",
            support="lift",
            phases=(phase,),
        )

    assert store.times.closed_without_times() == (JOB,)
    store.times.keep(times_of(store.events(JOB)))
    assert store.times.closed_without_times() == ()
    assert verify(store, JOB, times_of)[0].sound
    store.times.keep(times_of(store.events(JOB), seconds=10))
    assert "other times kept" in str(verify(store, JOB, times_of)[0])


def test_events_are_shown_a_line_each_under_their_day(store: SqliteEventStore) -> None:
    lines = list(event_lines(store.events(JOB)[:3]))
    assert lines[0] == "Wednesday 2026-11-25, UTC+0000"
    assert lines[1].startswith("    0  08:30:00  Ida Demo  job opened: procedure demo-bracket, procedure sha256 00")
    assert "vehicle Demo van 12 unknown unknown" in lines[1]
    assert lines[2:] == [
        "    1  08:30:01  Ida Demo  hold started: reason parts",
        "    2  08:30:02  Ida Demo  hold ended",
    ]


def test_an_exported_log_imports_elsewhere_and_exports_byte_for_byte(store: SqliteEventStore, tmp_path: Path) -> None:
    store.append(JOB, 9, recorded(JOB, 9, closing()))
    first, second = tmp_path / "first.jsonl", tmp_path / "second.jsonl"
    assert export_log(store, first) == 19
    other = SqliteEventStore(tmp_path / "other" / "log.sqlite")
    told = import_log(first, other)
    assert (told.jobs, told.events, told.taken) == (2, 19, 19)
    assert other.jobs() == store.jobs()
    assert other.events(JOB) == store.events(JOB)
    assert all(verdict.sound for verdict in verify(other))
    export_log(other, second)
    assert second.read_bytes() == first.read_bytes()
    assert import_log(first, other).taken == 0
    other.append(OTHER, 9, recorded(OTHER, 9, closing()))
    export_log(other, second, OTHER)
    assert import_log(second, store).taken == 1
    other.close()


def test_a_forgotten_name_does_not_come_back_with_an_old_export(store: SqliteEventStore, tmp_path: Path) -> None:
    export_log(store, tmp_path / "log.jsonl")
    store.forget_person("Ida Demo")
    import_log(tmp_path / "log.jsonl", store)
    assert "Ida" not in repr(store.jobs())


CHANGES: list[tuple[Callable[[list[str]], object], str]] = [
    (
        lambda lines: lines.__setitem__(2, lines[2].replace('"parts"', '"phone"')),
        "has an event 1 that is not what was written",
    ),
    (lambda lines: lines.pop(4), "has lost event"),
    (lambda lines: lines.__setitem__(2, "{half a line"), "line 3: this is no line"),
    (lambda lines: lines.__setitem__(2, "[1]"), "line 3: this is no line"),
    (lambda lines: lines.pop(0), "line 1: this is no exported log"),
]


@pytest.mark.parametrize(("change", "says"), CHANGES)
def test_a_changed_export_is_refused_whole(
    store: SqliteEventStore, tmp_path: Path, change: Callable[[list[str]], object], says: str
) -> None:
    file = tmp_path / "log.jsonl"
    export_log(store, file)
    lines = file.read_text(encoding="utf-8").splitlines()
    change(lines)
    file.write_text("\n".join(lines) + "\n", encoding="utf-8")
    other = SqliteEventStore(tmp_path / "other.sqlite")
    with pytest.raises(InputError, match=says):
        import_log(file, other)
    assert other.jobs() == ()
    other.close()


def test_a_job_that_went_another_way_here_is_refused(store: SqliteEventStore, tmp_path: Path) -> None:
    export_log(store, tmp_path / "log.jsonl")
    other = SqliteEventStore(tmp_path / "other.sqlite")
    for one in long_job(JOB, 9, lambda _: HoldStarted(reason="phone")):
        other.append(JOB, one.sequence, [one])
    with pytest.raises(InputError, match=f"job {JOB} went another way here"):
        import_log(tmp_path / "log.jsonl", other)
    assert [header.id for header in other.jobs()] == [JOB]
    other.close()


def test_a_damaged_job_is_not_exported_as_if_it_were_whole(store: SqliteEventStore, path: Path, tmp_path: Path) -> None:
    changed(path, DAMAGES[1][0], JOB)
    with pytest.raises(DamagedLogError):
        export_log(store, tmp_path / "log.jsonl")


def test_a_backup_restores_log_memos_settings_and_procedures(store: SqliteEventStore, tmp_path: Path) -> None:
    for name in (
        "memos/261125-k7qm/one.wav",
        "procedures/own.yaml",
        "settings.toml",
        "talkers.json",
        "models/large.bin",
    ):
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).write_text(name)
    archive, there = tmp_path / "bench.zip", tmp_path / "there"
    assert backup(tmp_path, archive, MORNING) == 7
    assert restore(archive, there) == 7
    again = SqliteEventStore(there / "log.sqlite")
    assert again.events(JOB) == store.events(JOB)
    assert all(verdict.sound for verdict in verify(again))
    again.close()
    assert (there / "memos/261125-k7qm/one.wav").read_text() == "memos/261125-k7qm/one.wav"
    assert not (there / "models").exists()
    with pytest.raises(InputError, match="holds a log already"):
        restore(archive, there)


@pytest.mark.usefixtures("store")
def test_a_changed_or_foreign_archive_is_refused_and_nothing_is_put_in_place(tmp_path: Path) -> None:
    archive, there = tmp_path / "bench.zip", tmp_path / "there"
    backup(tmp_path, archive, MORNING)
    content = archive.read_bytes()
    with zipfile.ZipFile(archive) as told:
        manifest = json.loads(told.read("manifest.json"))
    manifest["files"]["../escape"] = manifest["files"].pop("log.sqlite")
    with zipfile.ZipFile(archive, "w") as forged:
        forged.writestr("manifest.json", json.dumps(manifest))
        forged.writestr("../escape", "out")
    for bad in (archive.read_bytes(), content[: len(content) // 2], b"", b"text"):
        archive.write_bytes(bad)
        with pytest.raises(InputError):
            restore(archive, there)
        assert not there.exists()
    with pytest.raises(InputError, match="holds no log"):
        backup(there, archive, MORNING)


def test_a_rescue_keeps_each_job_up_to_its_loss_and_names_what_was_lost(
    store: SqliteEventStore, path: Path, tmp_path: Path
) -> None:
    import_times(bundled("procedures") / "engine-mounts.times.csv", store)
    imported = store.times.imported()
    store.close()
    changed(path, DAMAGES[0][0], JOB)
    changed(path, "DELETE FROM events WHERE job = ? AND sequence = 6", JOB)
    target = tmp_path / "rescued" / "log.sqlite"
    target.parent.mkdir()
    report = rescue(path, target)
    assert report.lines[:2] == (
        f"job {JOB}: 3 events kept; lost: 3, 6; readable but behind a loss: 4 to 5, 7 to 8",
        "1 of 2 jobs is whole",
    )
    assert report.unplaced_file is not None
    assert [json.loads(line)["sequence"] for line in report.unplaced_file.read_text().splitlines()] == [4, 5, 7, 8]
    rescued = SqliteEventStore(target)
    assert all(verdict.sound for verdict in verify(rescued))
    assert rescued.events(JOB) == long_job(JOB, 9)[:3]
    assert rescued.events(OTHER) == long_job(OTHER, 9)
    assert rescued.times.imported() == imported
    rescued.append(JOB, 3, recorded(JOB, 3, closing()))
    rescued.close()


def test_lost_names_and_lost_jobs_are_named_too(store: SqliteEventStore, path: Path, tmp_path: Path) -> None:
    store.close()
    changed(path, "DELETE FROM people")
    changed(path, "DELETE FROM events WHERE job = ?", JOB)
    changed(path, "DELETE FROM jobs WHERE job = ?", JOB)
    report = rescue(path, tmp_path / "rescued.sqlite")
    assert report.lines == (
        f"job {JOB}: 0 events kept; lost: 0 to 8",
        "1 of 2 jobs is whole",
        "names lost: 1 technician shown as forgotten",
    )


@pytest.mark.usefixtures("store")
def test_a_rescue_overwrites_nothing(path: Path) -> None:
    with pytest.raises(InputError, match="exists already"):
        rescue(path, path)
    with pytest.raises(InputError, match="there is no log"):
        rescue(path.with_name("none.sqlite"), path.with_name("rescued.sqlite"))


def test_numbers_are_told_as_spans() -> None:
    assert spans([3, 5, 6, 7, 9]) == "3, 5 to 7, 9"
    assert opening().kind == "job opened"
