"""Whatever breaks, every event arrives once, in order, and nothing of two benches is mixed."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from log.demo import recorded
from sharing.proxy import Proxy
from sharing.shop import JOB, OTHER, Shop
from sparehand.ground.errors import FailureError
from sparehand.job.events import HoldStarted, JobClosed, Recorded
from sparehand.log.fault_points import MemoPoint, Point, Watch
from sparehand.log.sqlite import SqliteEventStore

LONG = 60


class Fault(Watch):
    """Does something once, at a named point."""

    def __init__(self, at: Point, does: Callable[[], None]) -> None:
        self._at = at
        self._does: Callable[[], None] | None = does

    def reached(self, point: Point | MemoPoint) -> None:
        if point == self._at and self._does:
            does, self._does = self._does, None
            does()


class Stopped(BaseException):
    """The bench's own process ends here."""


def stop() -> None:
    raise Stopped


def whole(shop: Shop, jobs: int = 1, length: int = LONG + 1) -> bool:
    """Whether each job's events are all there, once, and chained."""
    rows = shop.rows("SELECT count(*), count(DISTINCT sequence), max(sequence) FROM events GROUP BY shop, job")
    return rows == [(length, length, length - 1)] * jobs


@pytest.mark.parametrize("point", ["after insert", "before commit", "after commit"])
def test_a_bench_that_is_stopped_in_mid_parcel_goes_on_where_the_database_stands(
    shop: Shop, tmp_path: Path, point: Point
) -> None:
    bench = shop.bench(tmp_path)
    bench.works(JOB, LONG)
    with pytest.raises(Stopped):
        bench.pushes(events_at_once=25, watch=Fault(point, stop))
    again = shop.bench(tmp_path)
    again.pushes(events_at_once=25)
    assert whole(shop)
    assert shop.count("phase_times") == 1


@pytest.mark.parametrize("point", ["after insert", "before commit", "after commit"])
def test_a_server_that_is_killed_in_mid_parcel_has_all_of_it_or_nothing(
    shop: Shop, tmp_path: Path, point: Point
) -> None:
    bench = shop.bench(tmp_path)
    bench.works(JOB, LONG)
    with pytest.raises(FailureError, match="cannot be reached"):
        bench.pushes(events_at_once=25, watch=Fault(point, shop.server.kill))
    with pytest.raises(FailureError, match="cannot be reached"):
        bench.pushes()
    shop.server.start()
    bench.pushes(events_at_once=25)
    assert whole(shop)


def test_a_network_that_is_cut_anywhere_costs_nothing(shop: Shop, tmp_path: Path) -> None:
    with Proxy(shop.server.port) as proxy:
        bench = shop.bench(tmp_path, port=proxy.port)
        bench.works(JOB, LONG)
        broken: list[str] = []
        for sent in range(500, 30_000, 4_000):
            proxy.cut_after(sent)
            try:
                bench.pushes(events_at_once=9)
            except FailureError as error:
                broken.append(str(error))
            proxy.mend()
        bench.pushes()
        assert len(broken) > 2
        assert all("cannot be reached" in told for told in broken)
        assert whole(shop)


def test_the_same_parcels_delivered_again_count_once(shop: Shop, tmp_path: Path) -> None:
    bench = shop.bench(tmp_path)
    bench.works(JOB, LONG)
    bench.pushes()
    (tmp_path / "shared" / "standing.json").unlink()
    again = bench.pushes(take_over=True)
    assert (again.new, again.left_out) == (0, ())
    assert whole(shop)
    assert shop.rows("SELECT count(*) FROM current_times") == [(1,)]


def test_twenty_benches_push_at_once_and_nothing_is_mixed(shop: Shop, tmp_path: Path) -> None:
    benches = [shop.bench(tmp_path / str(place), f"bay {place}") for place in range(20)]
    for place, bench in enumerate(benches):
        bench.shift = place << 100
        bench.works(JOB, LONG)
    with ThreadPoolExecutor(20) as pool:
        list(pool.map(lambda bench: bench.pushes(events_at_once=25), benches))
    assert whole(shop, jobs=20)
    assert shop.count("current_times") == 20


def test_jobs_of_one_name_on_two_benches_stay_two(shop: Shop, tmp_path: Path) -> None:
    one, two = shop.bench(tmp_path / "one"), shop.bench(tmp_path / "two", "bay two", "bay_two")
    one.works(JOB)
    two.shift = 1 << 100
    two.works(JOB)
    one.pushes()
    two.pushes()
    assert shop.rows("SELECT name, count(DISTINCT job) FROM jobs GROUP BY name") == [(JOB, 2)]
    one.pulls()
    assert [times.job for times in one.knows_of_others()] == [f"{JOB}@bay two"]


def test_a_second_bench_of_the_same_name_is_refused_until_it_has_its_own(shop: Shop, tmp_path: Path) -> None:
    one, two = shop.bench(tmp_path / "one"), shop.bench(tmp_path / "two", login="bay_two")
    one.works(JOB)
    one.pushes()
    with pytest.raises(FailureError, match="another bench of this shop shares as 'bay one' already"):
        two.pushes()
    two.name = "bay two"
    two.pushes()
    assert shop.rows("SELECT bench FROM benches ORDER BY bench") == [("bay one",), ("bay two",)]


def test_a_data_folder_that_runs_in_two_places_is_detected_and_not_merged(shop: Shop, tmp_path: Path) -> None:
    one = shop.bench(tmp_path / "one")
    one.works(JOB, 5, close=False)
    one.pushes()
    shutil.copytree(tmp_path / "one", tmp_path / "copy")
    copy = shop.bench(tmp_path / "copy")
    copy.records(JOB, 5, JobClosed())
    copy.pushes()
    one.records(JOB, 5, HoldStarted(reason="parts"))
    with pytest.raises(FailureError, match="shared from two places"):
        one.pushes()
    one.works(OTHER, 4)
    one.name = "bay one b"
    pushed = one.pushes(take_over=True)
    assert pushed.left_out == (JOB,)
    kinds = shop.rows(
        "SELECT kind FROM events JOIN jobs USING (shop, job) WHERE name = '261125-k7qm' ORDER BY sequence"
    )
    assert kinds[-1] == ("job closed",)
    assert shop.rows("SELECT name FROM jobs ORDER BY name") == [(JOB,), (OTHER,)]
    assert one.pushes().left_out == ()


@pytest.mark.parametrize("year", [1970, 2093])
def test_a_bench_whose_clock_is_broken_shares_all_the_same_and_makes_no_months(
    shop: Shop, tmp_path: Path, year: int
) -> None:
    one, two = shop.bench(tmp_path / "one"), shop.bench(tmp_path / "two", "bay two", "bay_two")
    for place, each in enumerate((*recorded_in(year), *recorded(JOB, 1, JobClosed()))):
        one.store.append(JOB, place, [each])
    parts = shop.rows("SELECT count(*) FROM pg_inherits")
    one.pushes()
    assert shop.rows("SELECT count(*) FROM events_else") == [(2,)]
    assert shop.rows("SELECT count(*) FROM pg_inherits") == parts
    assert two.pulls() == 1


def test_a_month_that_comes_takes_over_the_rows_that_were_sent_before_it_was_there(shop: Shop, tmp_path: Path) -> None:
    bench = shop.bench(tmp_path)
    bench.works(JOB)
    bench.pushes()
    assert shop.count("events_2026_11") == 6
    shop.rows(
        "ALTER TABLE events DETACH PARTITION events_2026_11; INSERT INTO events_else SELECT * FROM events_2026_11; "
        "DROP TABLE events_2026_11, summaries_2026_11, phase_times_2026_11; SELECT open_month('2026-11-01')"
    )
    assert (shop.count("events_2026_11"), shop.count("events_else")) == (6, 0)


@pytest.mark.parametrize("off", [timedelta(hours=-3), timedelta(0), timedelta(days=400)])
def test_how_far_a_clock_is_off_is_told_and_changes_nothing_of_the_events(
    shop: Shop, tmp_path: Path, off: timedelta
) -> None:
    bench = shop.bench(tmp_path)
    bench.works(JOB, LONG)
    pushed = bench.pushes(now=lambda: datetime.now(UTC) + off)
    assert pushed.ahead_seconds == pytest.approx(off.total_seconds(), abs=60)
    assert whole(shop)


def recorded_in(year: int) -> tuple[Recorded, ...]:
    """An opening by a clock that is in that year."""
    from log.demo import opening

    (first,) = recorded(JOB, 0, opening())
    wrong = first.at.model_copy(update={"wall": first.at.wall.replace(year=year)})
    return (first.model_copy(update={"at": wrong}),)


def test_a_log_that_is_being_written_is_never_held_by_sharing(shop: Shop, tmp_path: Path) -> None:
    bench = shop.bench(tmp_path)
    bench.works(JOB, 10, close=False)
    at_work = SqliteEventStore(tmp_path / "log.sqlite", busy_ms=0)

    def record() -> None:
        at_work.append(JOB, 10, recorded(JOB, 10, HoldStarted(reason="parts")))

    bench.pushes(watch=Fault("before commit", record))
    assert len(at_work.events(JOB)) == 11
    at_work.close()
