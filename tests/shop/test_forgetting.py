"""After a person was forgotten the name is in no byte of the data folder, or where it is is named."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from log.demo import closing, long_job, opening, recorded
from sparehand.job.events import LessonKept, MemoKept, WordsWritten
from sparehand.log.jsonl import export_log, import_log
from sparehand.log.memos import MemoFolder
from sparehand.log.people import People
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.times_csv import export_times, import_times
from sparehand.log.verify import verify
from sparehand.procedures.plan import PhaseKey, StepKey
from sparehand.settings import load_settings, set_value
from sparehand.shop.earlier_jobs import shop_times
from sparehand.shop.forgetting import forget
from sparehand.shop.talker_file import TALKERS_FILE, write_talker

JOB, OTHER = "261125-k7qm", "261126-b2xz"
NAME = "Ida Demo"
AT = StepKey(at=PhaseKey("fit", "left"), step="offer-up")


def holding(folder: Path, *words: str) -> set[tuple[str, str]]:
    """The files below a folder in whose raw bytes one of the words stands."""
    files = [path for path in folder.rglob("*") if path.is_file()]
    return {(path.name, word) for path in files for word in words if word.encode() in path.read_bytes()}


@pytest.fixture
def store(tmp_path: Path) -> SqliteEventStore:
    """A data folder in which a person's name and words stand wherever they can."""
    folder = tmp_path / "data"
    store = SqliteEventStore(folder / "log.sqlite")
    lesson, memo = LessonKept(at=AT, words="Ida Demo says the long bar"), MemoKept(at=AT, sound_ms=1_000)
    told = [*long_job(JOB, 3), *recorded(JOB, 3, lesson, memo)]
    told += recorded(JOB, 5, WordsWritten(of=told[-1].id, words="a private word"), technician="Ole Demo")
    store.append(JOB, 0, (*told, *recorded(JOB, 6, closing())))
    store.append(OTHER, 0, recorded(OTHER, 0, opening("Ole Demo"), technician="Ole Demo"))
    MemoFolder.beside(store.path).keep(told[4].id, b"sound of Ida Demo")
    set_value(folder, "technician", NAME)
    set_value(folder, "technicians", "Ida Demo: ida, Ole Demo: ole")
    write_talker(folder, NAME, {"heard_as": {"done": ["dawn"]}, "vowels": []})
    (folder / "models/.grammars/hers").mkdir(parents=True)
    (folder / "log.schema-1.sqlite").write_bytes(b"... Ida Demo ...")
    return store


def test_no_byte_of_the_folder_holds_the_name_or_the_words_and_the_log_verifies(store: SqliteEventStore) -> None:
    folder = store.path.parent
    assert {name for name, _ in holding(folder, NAME)} >= {"settings.toml", "log.schema-1.sqlite", TALKERS_FILE}
    done = forget(store, NAME)
    assert (done.people, done.recordings, done.words, done.still_in) == (1, 1, 2, ())
    assert holding(folder, NAME, "long bar", "private word") == set()
    assert not (folder / "models/.grammars").exists(), "the grammars that were made for that voice"
    settings = load_settings(folder)
    assert (settings.technician, settings.technicians) == (None, "Ole Demo: ole")
    assert all(verdict.sound for verdict in verify(store))
    assert forget(store, NAME).people == 0


def test_while_another_program_reads_the_log_it_is_told_where_the_name_still_is(store: SqliteEventStore) -> None:
    folder = store.path.parent
    reader = sqlite3.connect(store.path)
    reader.execute("BEGIN")
    reader.execute("SELECT count(*) FROM people").fetchone()
    store.close()
    hasty = SqliteEventStore(store.path, busy_ms=0)
    told = forget(hasty, NAME).still_in
    assert set(told) == {name for name, _ in holding(folder, NAME)}
    assert "log.sqlite-wal" in told
    reader.close()
    assert forget(hasty, NAME).still_in == ()
    assert holding(folder, NAME) == set()
    hasty.close()


def test_a_name_in_somebody_else_s_words_is_told_by_its_file(store: SqliteEventStore) -> None:
    words = LessonKept(at=AT, words="ask Ida Demo")
    store.append(OTHER, 1, recorded(OTHER, 1, words, technician="Ole Demo"))
    done = forget(store, NAME)
    assert done.still_in == tuple(sorted(name for name, _ in holding(store.path.parent, NAME)))
    assert "log.sqlite" in done.still_in


def test_that_person_s_files_do_not_bring_the_name_back_and_a_job_under_it_does(
    store: SqliteEventStore, tmp_path: Path
) -> None:
    elsewhere = SqliteEventStore(tmp_path / "elsewhere" / "log.sqlite")
    elsewhere.append("261127-c3cc", 0, (*long_job("261127-c3cc", 3), *recorded("261127-c3cc", 3, closing())))
    export_log(elsewhere, tmp_path / "log.jsonl")
    export_times(shop_times(elsewhere), tmp_path / "times.csv")
    elsewhere.close()
    forget(store, NAME)
    assert import_log(tmp_path / "log.jsonl", store).taken == 4
    assert import_times(tmp_path / "times.csv", store).taken == 1
    store.close()
    assert holding(store.path.parent, NAME) == set()
    with store.engine.begin() as connection:
        assert People(connection).id_of(NAME).startswith("person-")
