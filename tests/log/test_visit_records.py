"""Records of visits: kept in order, sealed, blanked past retention, rescued."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from sparehand.ground.errors import InputError
from sparehand.log.rescue import rescue
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import DamagedLogError
from sparehand.log.verify import verify
from sparehand.log.visit_records import ESTIMATE_GIVEN, PROMISE_MADE, VisitRecord, VisitRecords, find_subject

NOON = datetime(2026, 11, 3, 12, 0, tzinfo=UTC)


def record(subject: str, days: int = 0, private: str | None = "DEMO 42") -> VisitRecord:
    return VisitRecord(ESTIMATE_GIVEN, subject, NOON + timedelta(days=days), "Ida Demo", '{"hours": "1.2"}', private)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqliteEventStore]:
    opened = SqliteEventStore(tmp_path / "log.sqlite")
    yield opened
    opened.close()


def test_records_come_back_equal_in_order_by_kind(store: SqliteEventStore) -> None:
    records = VisitRecords(store.engine, store.path)
    promise = VisitRecord(PROMISE_MADE, "p", NOON, "", "{}", None)
    records.add([record("a"), promise, record("b", 1)])
    assert records.of_kind(ESTIMATE_GIVEN) == (record("a"), record("b", 1))
    assert records.of_kind(PROMISE_MADE) == (promise,)


def test_what_is_private_is_blanked_past_retention_and_not_found_in_the_file(store: SqliteEventStore) -> None:
    records = VisitRecords(store.engine, store.path)
    records.add([record("old", -100), record("new", private="DEMO 77")])
    assert records.past_retention(NOON - timedelta(days=30)) == 1
    records.blank(NOON - timedelta(days=30))
    assert [one.private for one in records.of_kind(ESTIMATE_GIVEN)] == [None, "DEMO 77"]
    assert b"DEMO 42" not in store.path.read_bytes()
    assert records.past_retention(NOON - timedelta(days=30)) == 0


def test_a_forgotten_person_is_named_nowhere_in_the_records(store: SqliteEventStore) -> None:
    VisitRecords(store.engine, store.path).add([record("a")])
    assert store.forget_person("Ida Demo") == 1
    (one,) = VisitRecords(store.engine, store.path).of_kind(ESTIMATE_GIVEN)
    assert one.by.startswith("forgotten")


def test_a_record_that_was_changed_is_told_by_reading_and_by_verify_and_not_rescued(tmp_path: Path) -> None:
    path = tmp_path / "log.sqlite"
    store = SqliteEventStore(path)
    VisitRecords(store.engine, path).add([record("a"), record("b")])
    store.close()
    with sqlite3.connect(path) as raw:
        raw.execute("UPDATE visit_records SET body = '{}' WHERE subject = 'a'")
    raw.close()
    store = SqliteEventStore(path)
    with pytest.raises(DamagedLogError, match="record 1 of visits"):
        VisitRecords(store.engine, path).of_kind(ESTIMATE_GIVEN)
    assert "record of a visit, 1," in str(verify(store)[0])
    store.close()
    rescue(path, tmp_path / "rescued.sqlite")
    rescued = SqliteEventStore(tmp_path / "rescued.sqlite")
    assert [one.subject for one in VisitRecords(rescued.engine, rescued.path).of_kind(ESTIMATE_GIVEN)] == ["b"]
    rescued.close()


def test_a_record_is_named_by_the_beginning_of_its_subject() -> None:
    assert find_subject("e-1", ["e-100", "e-200"], "estimate") == "e-100"
    with pytest.raises(InputError, match="names 2 estimates"):
        find_subject("e-", ["e-100", "e-200"], "estimate")
    with pytest.raises(InputError, match="names 0 estimates; the latest are: none"):
        find_subject("x", [], "estimate")
