"""The record of a job is added to at the desk, never edited; rework of an earlier job teaches no estimate."""

from __future__ import annotations

import json
from pathlib import Path
from uuid import UUID

import pytest

from job.table import Table, open_job
from sparehand.desk.record_additions import Amendment, amend_job, order_events
from sparehand.ground.errors import InputError
from sparehand.ground.places import LOG_FILE
from sparehand.job import commands as c
from sparehand.job.events import OrderNoted
from sparehand.job.state import fold
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.timesheet import job_times, timesheet
from sparehand.log.wire import canonical
from sparehand.screens.card import job_card
from sparehand.sharing.redaction import Redaction
from sparehand.times.sample import clean_jobs


def closed_job() -> Table:
    table = open_job()
    table.work_until("joint-bolts-in")
    table.do(c.KeepOldPart(), c.Close("parts on order"), c.Confirm())
    return table


@pytest.fixture
def kept(tmp_path: Path) -> tuple[SqliteEventStore, Path]:
    """A data folder with one closed job."""
    store = SqliteEventStore(tmp_path / LOG_FILE)
    table = closed_job()
    store.append("a-job", 0, table.history)
    store.times.keep(job_times(table.state, timesheet(table.state)))
    return store, tmp_path


def card(store: SqliteEventStore) -> str:
    history = store.events("a-job")
    state = fold(history)
    return job_card(state, timesheet(state), history)


def test_cause_correction_and_part_numbers_reach_the_card_of_a_closed_job(kept: tuple[SqliteEventStore, Path]) -> None:
    store, folder = kept
    before = store.events("a-job")
    said = Amendment(
        complaint="knocks over bumps",
        cause="worn joint",
        correction="joint renewed",
        parts=("joint=CV-9",),
        kept=("joint",),
    )
    amend_job("a-job", said, "Ben Field", folder)
    assert store.events("a-job")[: len(before)] == before
    page = card(store)
    for words in ("knocks over bumps", "worn joint", "joint renewed", "CV-9", "old part kept"):
        assert words in page


def test_a_part_of_one_side_is_noted_for_that_side_alone(kept: tuple[SqliteEventStore, Path]) -> None:
    store, folder = kept
    amend_job("a-job", Amendment(parts=("joint=CV-9",), kept=("joint",), side="right"), "Ben Field", folder)
    progress = fold(store.events("a-job")).progress
    assert progress.part_number("joint", "right") == "CV-9"
    assert progress.part_number("joint", "left") is None
    assert ("joint", "right") in progress.old_kept


def test_the_old_part_is_kept_by_voice() -> None:
    table = closed_job()
    assert "old part kept" in job_card(table.state, timesheet(table.state), table.history)


def test_rework_linked_later_leaves_the_sample(kept: tuple[SqliteEventStore, Path]) -> None:
    store, folder = kept
    earlier = open_job()
    other = {"job": "an-earlier-job", "id": UUID(int=10_000)}
    store.append("an-earlier-job", 0, [one.model_copy(update=other) for one in earlier.history])
    assert len(clean_jobs([each.model_copy(update={"left_out": ""}) for each in store.times.of_this_bench()])) == 1
    amend_job("a-job", Amendment(rework_of="an-earlier-job"), None, folder)
    assert clean_jobs(store.times.of_this_bench()) == ()
    assert "an-earlier-job" in card(store)


@pytest.mark.parametrize(
    ("said", "complaint"),
    [
        (Amendment(), "nothing to add"),
        (Amendment(parts=("joint",)), "PART=NUMBER"),
        (Amendment(parts=("gearbox=1",)), "no part 'gearbox'"),
        (Amendment(parts=("joint=1",), side="rear"), "not on the rear; it is on: "),
        (Amendment(rework_of="no-such-job"), "no job 'no-such-job'"),
    ],
)
def test_what_cannot_be_added_is_refused_in_one_line(
    kept: tuple[SqliteEventStore, Path], said: Amendment, complaint: str
) -> None:
    store, folder = kept
    before = store.events("a-job")
    with pytest.raises(InputError, match=complaint):
        amend_job("a-job", said, None, folder)
    assert store.events("a-job") == before


def test_a_complaint_known_at_the_opening_is_part_of_the_record(tmp_path: Path) -> None:
    store = SqliteEventStore(tmp_path / LOG_FILE)
    assert order_events("it knocks", None, store) == (OrderNoted(about="complaint", words="it knocks"),)
    with pytest.raises(InputError, match="no job"):
        order_events("", "no-such-job", store)


def test_a_customers_words_are_withheld_with_the_vehicle() -> None:
    body = canonical({"event": OrderNoted(about="complaint", words="Mr Brook's estate").model_dump(mode="json")})
    assert json.loads(Redaction(vehicles=True).body("order noted", body))["event"]["words"] == ""
    assert Redaction().body("order noted", body) == body
