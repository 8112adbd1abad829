"""From a folder that cannot be written, or a disk that is full, everything is read, exported, backed up and rescued."""

from __future__ import annotations

import os
import shutil
import stat
import subprocess
from collections.abc import Iterator
from pathlib import Path

import pytest

from log.demo import MORNING, closing, long_job, recorded
from log.small_disk import small_disk_at
from sparehand.cli.command_line import main
from sparehand.ground.places import bundled, data_folder
from sparehand.log.archive import backup, restore
from sparehand.log.memos import MemoFolder
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.times_csv import import_times
from sparehand.log.verify import verify
from sparehand.settings import set_value

JOB = "261125-k7qm"
TIMES = bundled("procedures") / "engine-mounts.times.csv"


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """A file system of its own, with a data folder whose last events are in the write-ahead file."""
    made = tmp_path / "made"
    store = SqliteEventStore(made / "log.sqlite")
    import_times(TIMES, store)
    store.append(JOB, 0, (*long_job(JOB, 9), *recorded(JOB, 9, closing())))
    set_value(made, "bench", "bay one")
    with small_disk_at(tmp_path / "disk", "4m") as disk:
        shutil.copytree(made, disk / "data", ignore=shutil.ignore_patterns("*-shm"))
        store.close()
        (disk / "data").chmod(0o700)
        assert (disk / "data" / "log.sqlite-wal").stat().st_size > 0
        yield disk


COMMANDS = (
    ("log", "show", JOB),
    ("log", "verify"),
    ("log", "export", "{out}/log.jsonl"),
    ("log", "backup", "{out}/bench.zip"),
    ("log", "rescue", "{out}/rescued.sqlite"),
    ("hours",),
    ("hours", JOB),
    ("card", JOB, "--to", "{out}/card.html"),
    ("times", "export", "{out}/times.csv"),
    ("lessons", "list"),
    ("settings", "show"),
    ("quote", "engine-mounts"),
    ("today",),
    ("estimates", "list"),
    ("promises",),
    ("due", "list"),
    ("kit", "engine-mounts"),
)


def filled(disk: Path) -> None:
    subprocess.run(["dd", "if=/dev/zero", f"of={disk / 'filler'}", "bs=4k"], capture_output=True)
    assert shutil.disk_usage(disk).free == 0


@pytest.mark.parametrize("fault", ["read only", "full"])
def test_everything_is_read_and_carried_elsewhere(
    disk: Path, tmp_path: Path, fault: str, capsys: pytest.CaptureFixture[str]
) -> None:
    if fault == "full":
        filled(disk)
    else:
        subprocess.run(["mount", "-o", "remount,ro", disk], check=True)
    before = {path: path.read_bytes() for path in (disk / "data").rglob("*") if path.is_file()}
    out = tmp_path / "out"
    out.mkdir()
    for command in COMMANDS:
        with pytest.raises(SystemExit) as stop:
            main([part.format(out=out) for part in command] + ["--data", str(disk / "data")])
        assert not stop.value.code, (command, capsys.readouterr())
    assert {path: path.read_bytes() for path in before} == before
    restore(out / "bench.zip", tmp_path / "restored")
    for log in (tmp_path / "restored" / "log.sqlite", out / "rescued.sqlite"):
        store = SqliteEventStore(log)
        assert len(store.events(JOB)) == 10
        assert all(verdict.sound for verdict in verify(store))
        store.close()


@pytest.mark.parametrize("fault", ["read only", "full"])
@pytest.mark.parametrize(
    "command",
    [
        ("amend", JOB, "--complaint", "it knocks"),
        ("settings", "set", "bench", "bay two"),
        ("times", "import", str(TIMES)),
        ("log", "tidy", "--yes"),
        ("person", "forget", "Ida Demo"),
        ("log", "import", "{out}/log.jsonl"),
    ],
)
def test_what_would_write_there_is_one_line(
    disk: Path, tmp_path: Path, fault: str, command: tuple[str, ...], capsys: pytest.CaptureFixture[str]
) -> None:
    from sparehand.log.jsonl import export_log

    elsewhere = SqliteEventStore(tmp_path / "elsewhere.sqlite")
    elsewhere.append("261126-b2xz", 0, long_job("261126-b2xz", 900))
    export_log(elsewhere, tmp_path / "log.jsonl")
    elsewhere.close()
    if fault == "full":
        filled(disk)
    else:
        subprocess.run(["mount", "-o", "remount,ro", disk], check=True)
    with pytest.raises(SystemExit) as stop:
        main([part.format(out=tmp_path) for part in command] + ["--data", str(disk / "data")])
    said = capsys.readouterr().err
    assert (stop.value.code or 0) in (0, 1, 2)
    assert said.count("\n") <= 1, said
    assert "Traceback" not in said


@pytest.mark.skipif(os.name == "nt", reason="Windows has no such rights")
def test_a_data_folder_is_for_its_owner_alone_and_an_open_one_is_closed_with_one_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = data_folder(tmp_path / "data")
    store = SqliteEventStore(folder / "log.sqlite")
    for one in long_job(JOB, 3):
        store.append(JOB, one.sequence, [one])
    with store.claim(JOB):
        MemoFolder.beside(store.path).keep(one.id, b"sound")
    set_value(folder, "bench", "bay one")
    backup(folder, tmp_path / "bench.zip", MORNING)
    restore(tmp_path / "bench.zip", data_folder(tmp_path / "again"))
    for made in (folder, tmp_path / "again"):
        assert {path for path in (made, *made.rglob("*")) if stat.S_IMODE(path.stat().st_mode) & 0o077} == set()
    for path in (folder, *folder.rglob("*")):
        path.chmod(0o755 if path.is_dir() else 0o644)
    assert "\n" not in capsys.readouterr().err
    data_folder(folder)
    assert "could be read by others on this machine" in capsys.readouterr().err
    data_folder(folder)
    assert capsys.readouterr().err == ""
    assert {path for path in (folder, *folder.rglob("*")) if stat.S_IMODE(path.stat().st_mode) & 0o077} == set()
    store.close()


def test_a_folder_that_holds_no_log_is_left_as_it_is(tmp_path: Path) -> None:
    (tmp_path / "home").mkdir(mode=0o755)
    (tmp_path / "home").chmod(0o755)
    data_folder(tmp_path / "home")
    assert stat.S_IMODE((tmp_path / "home").stat().st_mode) == 0o755
