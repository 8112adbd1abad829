"""What one bench records, the others of its shop have; each thing once, however often it is sent."""

from __future__ import annotations

from pathlib import Path

from sharing.shop import JOB, OTHER, Shop
from sparehand.job.events import JobClosed, Undone
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.wire import chain_start, chained


def test_every_event_arrives_once_with_its_chain_whole(shop: Shop, tmp_path: Path) -> None:
    bench = shop.bench(tmp_path / "one")
    bench.works(JOB, 12)
    bench.works(OTHER, 7, close=False)
    assert bench.pushes().new > 0
    before = chain_start(JOB)
    rows = shop.rows(
        f"SELECT sequence, body, chain FROM events JOIN jobs USING (shop, job) WHERE name = '{JOB}' ORDER BY 1"
    )
    for place, (sequence, body, chain) in enumerate(rows):
        before = chained(before, str(body))
        assert (sequence, chain) == (place, before)
    assert shop.count("events") == 13 + 7
    assert bench.pushes().new == 0
    assert shop.count("events") == 13 + 7


def test_another_bench_has_the_times_of_the_closed_jobs(shop: Shop, tmp_path: Path) -> None:
    one, two = shop.bench(tmp_path / "one"), shop.bench(tmp_path / "two", "bay two", "bay_two")
    one.works(JOB)
    one.works(OTHER, close=False)
    one.pushes()
    assert two.pulls() == 1
    (times,) = two.knows_of_others()
    assert (times.job, times.procedure) == (f"{JOB}@bay one", "demo-bracket")
    assert [phase.technician for phase in times.phases] == ["Ida Demo"]
    assert two.pulls() == 0


def test_a_log_is_sent_in_parcels_of_any_size_to_the_same_end(shop: Shop, tmp_path: Path) -> None:
    one, two = shop.bench(tmp_path / "one"), shop.bench(tmp_path / "two", "bay two", "bay_two")
    one.works(JOB, 12)
    one.pushes(events_at_once=5)
    assert shop.count("pushes") == 3
    assert shop.rows("SELECT max(sequence), count(*) FROM events") == [(12, 13)]
    assert two.pulls() == 1


def test_a_job_that_was_opened_again_is_taken_back_and_its_new_times_replace_the_old(
    shop: Shop, tmp_path: Path
) -> None:
    one, two = shop.bench(tmp_path / "one"), shop.bench(tmp_path / "two", "bay two", "bay_two")
    one.works(JOB, 3)
    one.pushes()
    two.pulls()
    (before,) = two.knows_of_others()
    one.records(JOB, 4, Undone(batch=3))
    one.pushes()
    two.pulls()
    assert two.knows_of_others() == ()
    one.records(JOB, 5, JobClosed())
    one.pushes()
    two.pulls()
    (after,) = two.knows_of_others()
    assert (
        after.phases[0].work_seconds + after.phases[0].held_seconds
        > before.phases[0].work_seconds + before.phases[0].held_seconds
    )
    assert len(shop.rows("SELECT * FROM current_times")) == 1


def test_what_the_times_add_up_to_is_kept_up_in_the_copy(shop: Shop, tmp_path: Path) -> None:
    one, two = shop.bench(tmp_path / "one"), shop.bench(tmp_path / "two", "bay two", "bay_two")
    one.works(JOB)
    one.pushes()
    one.works(OTHER, 7)
    one.pushes()
    two.pulls()
    copied = SqliteEventStore(tmp_path / "two" / "shared" / "shop.sqlite", read_only=True)
    (counted,) = copied.times.tallies().tallies
    assert sum(counted.jobs.values()) == 2
