"""What becomes of recordings and pictures: backed up, forgotten, tidied away, and missed without harm."""

from __future__ import annotations

import base64
import hashlib
import os
import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from uuid import UUID

import pytest

from ground.pictured import PLACE, as_file, drawn, png_that_claims, segments, with_place
from log.demo import MORNING, PROCEDURE, closing, opening, recorded
from sparehand.desk.logbook import forget_person, tidy, verify_log
from sparehand.ground.errors import InputError
from sparehand.ground.places import LOG_FILE
from sparehand.job.events import LessonKept, MemoKept, PictureTaken, Recorded, Undone
from sparehand.job.state import fold
from sparehand.log.archive import backup, restore
from sparehand.log.jsonl import export_log, import_log
from sparehand.log.memos import PICTURE, MemoFolder
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.stored_notes import files_past_retention, jobs_with_notes, missing_files, stored_notes
from sparehand.log.timesheet import timesheet
from sparehand.log.wire import canonical
from sparehand.procedures.plan import plan_run
from sparehand.screens.card import job_card

JOB, OTHER, PICTURED = "261125-k7qm", "261126-b2xz", "261127-c3cc"
TAKEN, SHOWN = UUID(int=1), UUID(int=2)
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
    assert "1 forgotten, 1 recording or picture deleted, words of 1 note blanked." in capsys.readouterr().out
    assert files(store) == [mine.id]
    assert [note.id for note in missing_files(store)] == [theirs.id]
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
    assert list(files_past_retention(store, 90, later)) == []
    store.append(JOB, 4, recorded(JOB, 4, closing()))
    assert len(list(files_past_retention(store, 90, later))) == 2
    assert list(files_past_retention(store, 90, later - timedelta(days=10))) == []
    assert list(files_past_retention(store, 0, later)) == []


def test_what_a_kill_left_behind_is_past_keeping_but_not_at_once(store: SqliteEventStore) -> None:
    stray = MemoFolder.beside(store.path).folder / f"{UUID(int=9)}.wav.part"
    stray.write_bytes(b"half")
    written = MORNING - timedelta(minutes=10)
    os.utime(stray, (written.timestamp(), written.timestamp()))
    assert list(files_past_retention(store, 0, MORNING)) == []
    assert list(files_past_retention(store, 0, MORNING + timedelta(hours=1))) == [stray]


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
    assert list(missing_files(there)) == []


def test_the_card_names_each_recording_with_its_length(store: SqliteEventStore) -> None:
    history = store.events(JOB)
    page = job_card(fold(history), timesheet(fold(history)), history)
    first = stored_notes(store)[0]
    assert f"<small>{first.id}</small><br>12 s" in page
    assert "the thread is sound" in page


@pytest.fixture
def pictured(store: SqliteEventStore) -> SqliteEventStore:
    """The same with a picture that Bo Sample took, in a job that shows another of its procedure."""
    memos, begun = MemoFolder.beside(store.path), opening().model_copy(update={"pictures": {"arm/step.png": SHOWN}})
    memos.keep_picture(TAKEN, with_place())
    memos.keep_picture(SHOWN, as_file(drawn()))
    taken = recorded(PICTURED, 1, PictureTaken(at=STEP, picture=TAKEN, finding=1), technician="Bo Sample")
    store.append(PICTURED, 0, (*recorded(PICTURED, 0, begun), *taken))
    return store


def pictures(store: SqliteEventStore) -> set[UUID]:
    return {UUID(path.stem) for path in MemoFolder.beside(store.path).folder.glob("*.jpg")}


def test_a_picture_goes_with_whoever_took_it_and_the_procedure_s_own_stays(
    pictured: SqliteEventStore, capsys: pytest.CaptureFixture[str]
) -> None:
    forget_person("Bo Sample", pictured.path.parent)
    assert "2 recordings and pictures deleted" in capsys.readouterr().out
    assert pictures(pictured) == {SHOWN}
    assert verify_log(PICTURED, pictured.path.parent) == 0
    assert f"picture {TAKEN} of job {PICTURED}: it is gone" in capsys.readouterr().out


@pytest.mark.parametrize(("memo_days", "customer_days"), [(90, 0), (0, 90), (400, 90), (90, 400)])
def test_pictures_of_closed_jobs_go_with_the_memos_or_with_the_customer_s_data(
    pictured: SqliteEventStore, memo_days: int, customer_days: int
) -> None:
    later = datetime.now(UTC) + timedelta(days=91)
    path = MemoFolder.beside(pictured.path).path(TAKEN, PICTURE)
    assert list(files_past_retention(pictured, memo_days, later, customer_days)) == []
    pictured.append(PICTURED, 2, recorded(PICTURED, 2, closing()))
    assert list(files_past_retention(pictured, memo_days, later, customer_days)) == [path]
    assert list(files_past_retention(pictured, 0, later, 0)) == []


def test_a_picture_that_was_taken_back_is_past_keeping(pictured: SqliteEventStore) -> None:
    pictured.append(PICTURED, 2, recorded(PICTURED, 2, Undone(batch=1)))
    path = MemoFolder.beside(pictured.path).path(TAKEN, PICTURE)
    assert list(files_past_retention(pictured, 0, datetime.now(UTC) + timedelta(hours=2))) == [path]


def test_pictures_travel_with_the_log_and_with_one_job_of_it(pictured: SqliteEventStore, tmp_path: Path) -> None:
    for job, first in ((None, 'version":3'), (PICTURED, 'version":3'), (JOB, 'version":2')):
        export = tmp_path / f"{job}.jsonl"
        export_log(pictured, export, job)
        assert first in export.read_text(encoding="utf-8").splitlines()[0]
        there = SqliteEventStore(tmp_path / f"{job}" / LOG_FILE)
        import_log(export, there)
        assert pictures(there) == ({TAKEN, SHOWN} if job != JOB else set())
        assert all(segments(path.read_bytes()) for path in MemoFolder.beside(there.path).folder.glob("*.jpg"))
        assert import_log(export, there).taken == 0


@pytest.mark.parametrize(
    "line",
    [
        {"picture": str(UUID(int=3)), "jpeg": "bm9uZQ=="},
        {"picture": str(UUID(int=3)), "jpeg": base64.b64encode(png_that_claims(30_000, 30_000)).decode()},
        {"picture": "../../outside", "jpeg": base64.b64encode(as_file(drawn())).decode()},
        {"picture": str(UUID(int=3)), "jpeg": "no base64!"},
        {"picture": 7, "jpeg": None},
    ],
)
def test_a_file_with_what_is_no_picture_is_refused_with_its_line(
    store: SqliteEventStore, line: dict[str, object], tmp_path: Path
) -> None:
    export = tmp_path / "all.jsonl"
    export_log(store, export)
    lines = export.read_text(encoding="utf-8").splitlines()
    told = "".join(f"{one}\n" for one in (*lines[:-1], canonical(line)))
    export.write_text(told + canonical({"seal": hashlib.sha256(told.encode()).hexdigest()}) + "\n", encoding="utf-8")
    there = SqliteEventStore(tmp_path / "there" / LOG_FILE)
    with pytest.raises(InputError, match=f"line {len(lines)}: .*nothing was taken"):
        import_log(export, there)
    assert there.jobs() == ()
    assert pictures(there) == set()


def test_an_imported_picture_takes_no_other_s_place_and_keeps_no_place(
    pictured: SqliteEventStore, tmp_path: Path
) -> None:
    MemoFolder.beside(pictured.path).path(TAKEN, PICTURE).write_bytes(with_place())
    export_log(pictured, tmp_path / "all.jsonl")
    there = SqliteEventStore(tmp_path / "there" / LOG_FILE)
    mine = MemoFolder.beside(there.path)
    mine.keep_picture(SHOWN, b"mine")
    import_log(tmp_path / "all.jsonl", there)
    assert mine.read(SHOWN, PICTURE) == b"mine"
    assert PLACE not in (mine.read(TAKEN, PICTURE) or PLACE)


def test_the_card_shows_pictures_and_says_of_one_that_it_is_gone(pictured: SqliteEventStore) -> None:
    memos, history = MemoFolder.beside(pictured.path), pictured.events(PICTURED)
    page = job_card(fold(history), timesheet(fold(history)), history, lambda id: memos.read(id, PICTURE))
    (source,) = re.findall(r'<img src="data:image/jpeg;base64,([^"]+)"', page)
    assert base64.b64decode(source) == memos.read(TAKEN, PICTURE)
    assert "Picture 1: " in page
    assert "Bo Sample" in page
    assert "img-src data:" in page
    memos.path(TAKEN, PICTURE).unlink()
    page = job_card(fold(history), timesheet(fold(history)), history, lambda id: memos.read(id, PICTURE))
    assert "This picture is not kept any more." in page
    assert "<img" not in page


def test_a_backup_holds_the_pictures(pictured: SqliteEventStore, tmp_path: Path) -> None:
    backup(pictured.path.parent, tmp_path / "all.zip", MORNING)
    restore(tmp_path / "all.zip", tmp_path / "there")
    assert pictures(SqliteEventStore(tmp_path / "there" / LOG_FILE)) == {TAKEN, SHOWN}
