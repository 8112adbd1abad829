"""Customer data go when their time is over, out of the file too; the job stays whole and keeps its times."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from job.table import opening
from sparehand.conversation.session import JobSession
from sparehand.ground.clock import start_of_run
from sparehand.job import commands as c, events as e
from sparehand.job.state import fold
from sparehand.log.customer import blank_customer, customers_past_retention
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import DamagedLogError
from sparehand.log.tables import EVENTS
from sparehand.log.verify import verify

OPENED = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


@pytest.fixture
def store(tmp_path: Path) -> SqliteEventStore:
    store = SqliteEventStore(tmp_path / "log.sqlite")
    clock = start_of_run(OPENED, "run 0")
    vehicle = e.Vehicle(name="the blue estate of Mr Vacant", identification="INVENTED 1", odometer=81_000)
    opened = opening().model_copy(update={"vehicle": vehicle, "complaint": "knocks over the railway crossing"})
    session = JobSession.open(store, "a-job", opened, clock.now(), "bench 1")
    for command in (c.Understood(), c.Next(), c.Close("customer declined"), c.Confirm()):
        clock.advance(60_000)
        session.respond(command, clock.now())
    assert session.state.progress.closed
    return store


def test_customer_data_of_closed_jobs_are_past_keeping_after_their_days(store: SqliteEventStore) -> None:
    late = OPENED + timedelta(days=400)
    assert list(customers_past_retention(store, 365, late)) == ["a-job"]
    assert list(customers_past_retention(store, 500, late)) == []
    assert list(customers_past_retention(store, 0, late)) == []


def test_what_is_blanked_is_gone_and_the_job_is_whole(store: SqliteEventStore) -> None:
    before = fold(store.events("a-job"))
    blank_customer(store, "a-job")

    after = fold(store.events("a-job"))
    assert after.opened.vehicle == e.Vehicle()
    assert after.opened.complaint == ""
    assert after.ledger == before.ledger
    assert store.jobs()[0].vehicle == ""
    assert not any(verdict.problems for verdict in verify(store))
    assert list(customers_past_retention(store, 1, OPENED + timedelta(days=9))) == []
    content = b"".join(path.read_bytes() for path in store.path.parent.glob("log.sqlite*") if path.is_file())
    assert b"Vacant" not in content
    assert b"railway" not in content


def test_a_damaged_job_is_left_as_it_is(store: SqliteEventStore) -> None:
    with store.engine.begin() as connection:
        body = connection.exec_driver_sql("SELECT body FROM events WHERE sequence = 2").scalar_one()
        connection.execute(EVENTS.update().where(EVENTS.c.sequence == 2).values(body=body.replace("run 0", "run 1")))
    with pytest.raises(DamagedLogError, match="a-job"):
        blank_customer(store, "a-job")
    assert store.jobs()[0].vehicle != ""
