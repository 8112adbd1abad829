"""What becomes of recordings: backed up, forgotten with their person, tidied away, and missed without harm."""

from __future__ import annotations

import os
from datetime import timedelta
from pathlib import Path
from uuid import UUID

import pytest

from log.demo import MORNING, PROCEDURE, closing, opening, recorded
from sparehand.desk.logbook import forget_person, tidy, verify_log
from sparehand.ground.places import LOG_FILE
from sparehand.job.events import LessonKept, MemoKept, Recorded, Undone
from sparehand.job.state import fold
from sparehand.log.archive import backup, restore
from sparehand.log.memos import MemoFolder
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.stored_notes import jobs_with_notes, missing_sounds, recordings_past_retention, stored_notes
from sparehand.log.timesheet import timesheet
from sparehand.procedures.plan import plan_run
from sparehand.screens.card import job_card

JOB, OTHER = "261125-k7qm", "261126-b2xz"
STEP = plan_run(PROCEDURE).steps[0]

Printed = pytest.CaptureFixture[str]


@pytest.fixture
def store(tmp_path: Path) -> SqliteEventStore:
    """Two memos and a lesson in one job, by two people; another job without any."""
    store = SqliteEventStore(tmp_path / LOG_FILE)
    memo = MemoKept(at=STEP, sound_ms=12_000)
    keep(store, recorded(JOB, 0, opening(), memo))
    keep(store, recorded(JOB, 2, MemoKept(at=STEP, words="the thread is sound"), technician="Bo Sample"))
    keep(store, recorded(JOB, 3, LessonKept(at=STEP, sound_ms=3_000), technician="Bo Sample"))
    keep(store, recorded(OTHER, 0, opening()))
    return store


def keep(store: SqliteEventStore, events: tuple[Recorded, ...]) -> None:
    for one in events:
        if getattr(one.event, "sound_ms", 0):
            MemoFolder.beside(store.path).keep(one.id, b"sound")
    store.append(events[0].job, events[0].sequence, events)


def files(store: SqliteEventStore) -> list[UUID]:
    return [UUID(path.stem) for path in sorted(MemoFolder.beside(store.path).folder.glob("*.wav"))]


def test_the_notes_of_every_job_are_found_and_what_was_taken_back_is_none(store: SqliteEventStore) -> None:
    assert jobs_with_notes(store) == (JOB,)
    assert [note.kind for note in stored_notes(store)] == ["memo", "memo", "lesson"]
    assert [note.by for note in stored_notes(store)] == ["Ida Demo", "Bo Sample", "Bo Sample"]
    store.append(JOB, 4, recorded(JOB, 4, Undone(batch=3)))
    assert [note.kind for note in stored_notes(store)] == ["memo", "memo"]


def test_forgetting_a_person_deletes_what_that_person_recorded(
    store: SqliteEventStore, capsys: pytest.CaptureFixture[str]
) -> None:
    mine, _, theirs = stored_notes(store)
    forget_person("Bo Sample", store.path.parent)
    assert "1 forgotten, 1 recording deleted, words of 1 note blanked." in capsys.readouterr().out
    assert files(store) == [mine.id]
    assert [note.id for note in missing_sounds(store)] == [theirs.id]
    assert "Bo" not in repr(stored_notes(store))


def test_a_missing_recording_is_told_and_makes_no_log_unsound(
    store: SqliteEventStore, capsys: pytest.CaptureFixture[str]
) -> None:
    first = stored_notes(store)[0]
    MemoFolder.beside(store.path).path(first.id).unlink()
    assert verify_log(None, store.path.parent) == 0
    assert f"memo {first.id} of job {JOB}: its sound is gone" in capsys.readouterr().out


def test_recordings_are_past_keeping_so_many_days_after_they_were_made_and_never_while_the_job_is_open(
    store: SqliteEventStore,
) -> None:
    later = MORNING + timedelta(days=91)
    assert list(recordings_past_retention(store, 90, later)) == []
    store.append(JOB, 4, recorded(JOB, 4, closing()))
    assert len(list(recordings_past_retention(store, 90, later))) == 2
    assert list(recordings_past_retention(store, 90, later - timedelta(days=10))) == []
    assert list(recordings_past_retention(store, 0, later)) == []


def test_what_a_kill_left_behind_is_past_keeping_but_not_at_once(store: SqliteEventStore) -> None:
    stray = MemoFolder.beside(store.path).folder / f"{UUID(int=9)}.wav.part"
    stray.write_bytes(b"half")
    written = MORNING - timedelta(minutes=10)
    os.utime(stray, (written.timestamp(), written.timestamp()))
    assert list(recordings_past_retention(store, 0, MORNING)) == []
    assert list(recordings_past_retention(store, 0, MORNING + timedelta(hours=1))) == [stray]


def test_tidying_shows_what_it_would_delete_and_deletes_only_when_told_to(
    store: SqliteEventStore, capsys: pytest.CaptureFixture[str]
) -> None:
    stray = MemoFolder.beside(store.path).folder / f"{UUID(int=9)}.wav"
    stray.write_bytes(b"taken back")
    os.utime(stray, (MORNING.timestamp() - 10**8, MORNING.timestamp() - 10**8))
    tidy(store.path.parent, really=False)
    assert str(stray) in capsys.readouterr().out
    assert stray.exists()
    tidy(store.path.parent, really=True)
    assert not stray.exists()
    assert len(files(store)) == 2


def test_a_backup_holds_the_recordings(store: SqliteEventStore, tmp_path: Path) -> None:
    backup(store.path.parent, tmp_path / "all.zip", MORNING)
    restore(tmp_path / "all.zip", tmp_path / "there")
    there = SqliteEventStore(tmp_path / "there" / LOG_FILE)
    assert stored_notes(there) == stored_notes(store)
    assert list(missing_sounds(there)) == []


def test_the_card_names_each_recording_with_its_length(store: SqliteEventStore) -> None:
    history = store.events(JOB)
    page = job_card(fold(history), timesheet(fold(history)), history)
    first = stored_notes(store)[0]
    assert f"<small>{first.id}</small><br>12 s" in page
    assert "the thread is sound" in page
