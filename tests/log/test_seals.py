"""What leaves the log and comes back is whole, or is refused in one line and nothing of it is taken."""

from __future__ import annotations

import json
import sqlite3
import zipfile
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import needs
from log.demo import MORNING
from sparehand.ground.errors import InputError
from sparehand.log import jsonl
from sparehand.log.archive import backup, restore
from sparehand.log.jsonl import export_log, import_log
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.verify import verify

JOB = "261125-k7qm"


@pytest.fixture
def elsewhere(tmp_path: Path) -> Iterator[SqliteEventStore]:
    store = SqliteEventStore(tmp_path / "elsewhere" / "log.sqlite")
    yield store
    store.close()


def refused(file: Path, store: SqliteEventStore, says: str) -> None:
    with pytest.raises(InputError, match=says) as refusal:
        import_log(file, store)
    assert "\n" not in str(refusal.value)
    assert store.jobs() == ()
    assert all(verdict.sound for verdict in verify(store))


@pytest.mark.parametrize(
    "change",
    [
        lambda lines: [line.replace(b"Ida", b"Ada") for line in lines],
        lambda lines: lines[:9] + lines[10:],
        lambda lines: lines[:-1],
        lambda lines: lines[:10],
        lambda lines: [*lines, lines[-1]],
        lambda lines: [*lines[:-1], b'{"seal":"00"}\n'],
    ],
    ids=["a name", "the last event", "the seal", "all behind the events", "two seals", "another seal"],
)
def test_an_export_whose_names_or_end_were_changed_is_refused(
    store: SqliteEventStore, elsewhere: SqliteEventStore, tmp_path: Path, change: Callable[[list[bytes]], list[bytes]]
) -> None:
    file = tmp_path / "log.jsonl"
    export_log(store, file)
    file.write_bytes(b"".join(change(file.read_bytes().splitlines(keepends=True))))
    refused(file, elsewhere, "nothing was taken")


def test_an_export_of_the_version_before_the_seal_is_taken(
    store: SqliteEventStore, elsewhere: SqliteEventStore, tmp_path: Path
) -> None:
    file = tmp_path / "log.jsonl"
    export_log(store, file)
    lines = file.read_text().splitlines(keepends=True)[:-1]
    file.write_text("".join(lines).replace('"version":2', '"version":1', 1))
    assert import_log(file, elsewhere).taken == 9
    assert elsewhere.events(JOB) == store.events(JOB)


HOSTILE = {
    "a name that is a path": lambda line: line.replace(JOB, "../../x"),
    "control codes in a name": lambda line: line.replace(JOB, "\\u001b[2J"),
    "a deep nest": lambda _: '{"chain":"00","recorded":' + "[" * 100_000 + "]" * 100_000 + "}",
    "a number that is none": lambda line: line.replace('"steady_ms":0', '"steady_ms":NaN'),
    "a number beyond all": lambda line: line.replace('"steady_ms":0', f'"steady_ms":{10**40}'),
    "a moment beyond all": lambda line: line.replace("2026-11-25T", "0001-01-01T"),
    "half a character": lambda line: line.replace("Demo van", "\\ud800"),
    "no object": lambda _: "null",
    "no chain": lambda line: line.replace('"chain":"', '"chain":"xy'),
    "a person that is none": lambda _: '{"person":{},"name":[]}',
}


@pytest.mark.parametrize("change", HOSTILE.values(), ids=HOSTILE)
def test_a_hostile_line_is_named_and_nothing_is_taken(
    store: SqliteEventStore, elsewhere: SqliteEventStore, tmp_path: Path, change: Callable[[str], str]
) -> None:
    file = tmp_path / "log.jsonl"
    export_log(store, file)
    lines = file.read_text().splitlines()
    before, lines[1] = lines[1], change(lines[1])
    assert lines[1] != before
    file.write_text("\n".join(lines) + "\n")
    refused(file, elsewhere, "line 2: this is no line of an exported log|lines 2 to .* is not what was written")
    assert sorted(path.name for path in tmp_path.rglob("*.mark")) == [f"{JOB}.mark"]


def test_a_job_of_too_many_events_is_refused_before_it_is_read_whole(
    store: SqliteEventStore, elsewhere: SqliteEventStore, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    export_log(store, tmp_path / "log.jsonl")
    monkeypatch.setattr(jsonl, "EVENTS_OF_JOB", 5)
    refused(tmp_path / "log.jsonl", elsewhere, "more than 5 events")


def test_a_file_without_line_ends_is_not_read_whole(
    elsewhere: SqliteEventStore, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(jsonl, "_LINE_BYTES", 100)
    (tmp_path / "log.jsonl").write_bytes(b'{"format":"sparehand log","version":2}\n' + b" " * 1_000_000)
    refused(tmp_path / "log.jsonl", elsewhere, "line 2")


def flipped(content: bytes) -> bytes:
    """Some bytes in the middle, where packed data lie, changed."""
    middle = len(content) // 2
    return content[:middle] + bytes(255 - byte for byte in content[middle : middle + 64]) + content[middle + 64 :]


def encrypted(content: bytes) -> bytes:
    """Every entry of the directory marked as encrypted (APPNOTE.TXT of the ZIP format, 4.4.4, bit 0)."""
    marked = bytearray(content)
    at = -1
    while (at := content.find(b"PK\x01\x02", at + 1)) >= 0:
        marked[at + 8] |= 1
    return bytes(marked)


def packed(archive: Path, method: int, change: Callable[[str, bytes], bytes] = lambda _, content: content) -> bytes:
    """The archive packed anew by another method, its files changed."""
    with zipfile.ZipFile(archive) as old:
        files = {name: change(name, old.read(name)) for name in old.namelist()}
    with zipfile.ZipFile(archive, "w", method) as new:
        for name, content in files.items():
            new.writestr(name, content)
    return archive.read_bytes()


def renamed(name: str, content: bytes) -> bytes:
    """The manifest with one file less."""
    if name != "manifest.json":
        return content
    told = json.loads(content)
    del told["files"][f"log.marks/{JOB}.mark"]
    return json.dumps(told).encode()


ARCHIVES: dict[str, Callable[[Path], bytes]] = {
    "bytes that do not unpack": lambda archive: flipped(archive.read_bytes()),
    "half of it": lambda archive: archive.read_bytes()[: archive.stat().st_size // 2],
    "encrypted": lambda archive: encrypted(archive.read_bytes()),
    "packed by LZMA": lambda archive: packed(archive, zipfile.ZIP_LZMA),
    "damaged LZMA": lambda archive: flipped(packed(archive, zipfile.ZIP_LZMA)),
    "packed by bzip2": lambda archive: packed(archive, zipfile.ZIP_BZIP2),
    "a file less in the manifest": lambda archive: packed(archive, zipfile.ZIP_DEFLATED, renamed),
    "a deep manifest": lambda archive: packed(
        archive, zipfile.ZIP_DEFLATED, lambda name, old: b"[" * 500_000 if name == "manifest.json" else old
    ),
    "a manifest of a list": lambda archive: packed(
        archive, zipfile.ZIP_DEFLATED, lambda name, old: b"[]" if name == "manifest.json" else old
    ),
    "a file that fills the disk": lambda archive: packed(
        archive, zipfile.ZIP_DEFLATED, lambda name, old: bytes(200_000_000) if name == "log.sqlite" else old
    ),
    "text": lambda _: b"text",
    "nothing": lambda _: b"",
}


@pytest.mark.usefixtures("store")
@pytest.mark.parametrize("change", ARCHIVES.values(), ids=ARCHIVES)
def test_a_damaged_archive_is_one_line_and_leaves_nothing_behind(
    tmp_path: Path, change: Callable[[Path], bytes]
) -> None:
    archive, there = tmp_path / "bench.zip", tmp_path / "there" / "data"
    backup(tmp_path, archive, MORNING)
    archive.write_bytes(change(archive))
    with pytest.raises(InputError) as refusal:
        restore(archive, there)
    assert "\n" not in str(refusal.value)
    assert not there.exists()
    assert list(tmp_path.glob(".restoring-*")) == []


@pytest.mark.parametrize("target", [Path(), Path("/")])
def test_a_backup_into_what_is_no_file_is_one_line(store: SqliteEventStore, target: Path) -> None:
    with pytest.raises(InputError, match="is no name of a file"):
        backup(store.path.parent, target, MORNING)


def test_a_device_without_end_is_no_archive(tmp_path: Path) -> None:
    endless = Path("/dev/zero")
    needs.skip_unless(endless.exists(), "no /dev/zero")
    with pytest.raises(InputError, match="no whole backup"):
        restore(endless, tmp_path / "data")


@pytest.mark.parametrize(
    ("statement", "says"),
    [
        ("CREATE TRIGGER t AFTER INSERT ON events BEGIN DELETE FROM people; END", "was given the trigger t"),
        ("CREATE TABLE notes (x)", "was given the table notes"),
        ("CREATE VIEW v AS SELECT * FROM people", "was given the view v"),
        ("DROP INDEX ix_people_name", "lacks the index ix_people_name"),
        ("ALTER TABLE people ADD COLUMN mail TEXT", "has changed the table people"),
    ],
)
def test_what_was_added_to_the_database_is_found(store: SqliteEventStore, statement: str, says: str) -> None:
    with sqlite3.connect(store.path) as raw:
        raw.execute(statement)
    raw.close()
    (database, job) = verify(store)
    assert (says in str(database), job.sound) == (True, True)
