"""What the log adds up stays what its phase times say, whatever becomes of them."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, given, settings, strategies as st
from sqlalchemy import update

from labour.examples import job, link_jobs
from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.evidence.tally_evidence import tallied_evidence
from sparehand.log import tally_tables
from sparehand.log.connection import writing
from sparehand.log.phase_times import jobs_of
from sparehand.log.rescue import rescue
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.tables import TALLIES
from sparehand.log.times_csv import export_times, import_times
from sparehand.times.counting import tally_of
from sparehand.times.job_times import JobTimes
from sparehand.times.sample import Plans
from sparehand.times.tally import Tally

FRONT_END = "front-end"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqliteEventStore]:
    store = SqliteEventStore(tmp_path / "log.sqlite")
    yield store
    store.close()


def said(tally: Tally) -> Evidence:
    return tallied_evidence([tally], Plans())


def require_true(store: SqliteEventStore, counted: bool = True) -> Tally:
    """The tally kept is that of the rows; `counted` says that it is kept indeed and not made on the spot."""
    with writing(store.engine) as connection:
        of_rows = tally_of(FRONT_END, lambda: jobs_of(connection)(FRONT_END))
        kept = tally_tables.tally(connection, FRONT_END, jobs_of(connection))
        assert tally_tables.recount(connection, jobs_of(connection)) is not counted
    assert said(kept).jobs == said(of_rows).jobs
    assert said(kept).shapes == said(of_rows).shapes
    jobs = {pattern: sums.jobs for pattern, sums in kept.sums.items()}
    assert sum(jobs.values()) + kept.unsummed == sum(kept.jobs.values())
    assert kept.bins == of_rows.bins
    return kept


def imported(store: SqliteEventStore, jobs: list[JobTimes]) -> None:
    path = store.path.with_name("times.csv")
    export_times(jobs, path)
    import_times(path, store)


def test_each_job_kept_is_counted_with_it(store: SqliteEventStore) -> None:
    for times in link_jobs(30):
        store.times.keep(times)
    kept = require_true(store)
    assert max(sums.jobs for sums in kept.sums.values()) > 20


def test_a_job_kept_again_counts_once(store: SqliteEventStore) -> None:
    for times in [*link_jobs(30), *link_jobs(5, 1.3)]:
        store.times.keep(times)
    assert sum(require_true(store).jobs.values()) == 30


def test_a_job_that_turns_out_to_be_rework_or_empty_counts_no_more(store: SqliteEventStore) -> None:
    first, second, third = link_jobs(3)
    for times in (first, second, third, second.model_copy(update={"rework": True})):
        store.times.keep(times)
    assert sum(require_true(store).jobs.values()) == 2
    store.times.keep(third.model_copy(update={"phases": ()}))
    assert sum(require_true(store, counted=False).jobs.values()) == 1


def test_imported_jobs_are_counted_with_the_import(store: SqliteEventStore) -> None:
    store.times.keep(job(100, {"access": 20, "refit": 20}))
    imported(store, link_jobs(20))
    assert sum(require_true(store).jobs.values()) == 21


def test_a_stop_before_counting_is_made_good(store: SqliteEventStore) -> None:
    imported(store, link_jobs(20))
    with writing(store.engine) as connection:
        tally_tables.set_aside(connection, [FRONT_END])
    assert sum(store.times.tallies().tallies[0].jobs.values()) == 20
    store.times.recount()
    require_true(store)


@pytest.mark.parametrize(("column", "value"), [("body", "{}"), ("seal", 7), ("body", "no json")])
def test_a_damaged_tally_is_counted_anew(store: SqliteEventStore, column: str, value: object) -> None:
    for times in link_jobs(12):
        store.times.keep(times)
    with writing(store.engine) as connection:
        connection.execute(update(TALLIES).values({column: value}))
    assert sum(store.times.tallies().tallies[0].jobs.values()) == 12
    store.times.keep(job(20, {"access": 20, "refit": 20}))
    assert sum(require_true(store).jobs.values()) == 13


def test_each_change_raises_the_revision_and_reading_does_not(store: SqliteEventStore) -> None:
    assert store.times.tallies().revision == 0
    store.times.keep(link_jobs(1)[0])
    before = store.times.tallies().revision
    assert store.times.tallies().revision == before > 0
    imported(store, link_jobs(3)[1:])
    assert store.times.tallies().revision > before


def test_names_stand_beside_the_tally_and_never_in_it(store: SqliteEventStore) -> None:
    for times in link_jobs(20):
        store.times.keep(times)
    with sqlite3.connect(store.path) as raw:
        (body,) = raw.execute("SELECT body FROM tallies").fetchone()
    raw.close()
    assert "ana" not in body
    assert sorted(store.times.tallies().names.values()) == ["ana", "ben"]
    store.forget_person("ana")
    assert "ana" not in store.times.tallies().names.values()


def test_a_rescued_log_is_counted_when_it_is_read(store: SqliteEventStore, tmp_path: Path) -> None:
    imported(store, link_jobs(15))
    rescue(store.path, tmp_path / "rescued.sqlite")
    rescued = SqliteEventStore(tmp_path / "rescued.sqlite")
    assert sum(rescued.times.tallies().tallies[0].jobs.values()) == 15
    rescued.close()


@settings(max_examples=15, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(st.tuples(st.floats(0.2, 300), st.booleans(), st.sampled_from(("ana", "ben"))), min_size=1, max_size=25),
    st.randoms(use_true_random=False),
)
def test_whatever_is_kept_in_whatever_order_the_tally_is_that_of_the_rows(
    tmp_path_factory: pytest.TempPathFactory, drawn: list[tuple[float, bool, str]], order: Random
) -> None:
    store = SqliteEventStore(tmp_path_factory.mktemp("log") / "log.sqlite")
    jobs = [
        job(number, {"access": 20, "refit": minutes}, technician=who, unfinished=("refit",) if open_ else ())
        for number, (minutes, open_, who) in enumerate(drawn)
    ]
    order.shuffle(jobs)
    for times in [*jobs, *jobs[:2]]:
        store.times.keep(times)
    require_true(store)
    store.close()
