"""`sparehand today`: the open jobs of the log with their benches, and what waits for an answer."""

from __future__ import annotations

import json
from datetime import timedelta
from pathlib import Path

import pytest

from desk.typed import command
from job.table import opening
from log.demo import recorded
from sparehand.desk.today_board import today_of
from sparehand.ground.clock import LiveClock
from sparehand.ground.places import LOG_FILE
from sparehand.job.events import HoldStarted, JobClosed
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.visit_records import VisitRecords
from sparehand.visit.records import Promise, promise_record

HELD, AT_WORK, SHUT = "261101-held", "261102-work", "261103-shut"


def test_open_jobs_stand_under_their_benches_with_what_was_promised(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    store = SqliteEventStore(tmp_path / LOG_FILE)
    now = LiveClock("now").now()
    for id, more in ((HELD, (HoldStarted(reason="parts"),)), (AT_WORK, ()), (SHUT, (JobClosed(),))):
        bench = "bay 2" if id == AT_WORK else "bay 1"
        events = recorded(id, 0, opening(), *more)
        store.append(id, 0, tuple(one.model_copy(update={"bench": bench, "at": now}) for one in events))
    promise = Promise("plan-1", now.wall, now.wall + timedelta(minutes=5), 0.2, AT_WORK, "DEMO 42")
    VisitRecords(store.engine, store.path).add([promise_record(promise, "Ida Demo")])
    held, at_work = today_of(tmp_path, now).jobs
    assert (held.job, held.bench, held.standing, held.waits_for) == (HELD, "bay 1", "on hold", ("parts",))
    assert (at_work.job, at_work.bench, at_work.standing) == (AT_WORK, "bay 2", "working")
    assert at_work.promised == promise.due
    command(tmp_path, "today", "--json")
    assert [json.loads(line)["job"] for line in capsys.readouterr().out.splitlines()] == [HELD, AT_WORK]
    command(tmp_path, "today")
    said = capsys.readouterr().out
    assert "bay 2" in said
    assert "late" in said


def test_a_log_without_jobs_says_so(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    command(tmp_path, "today")
    assert "No job is open." in capsys.readouterr().out
