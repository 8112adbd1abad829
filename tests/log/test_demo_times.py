"""The demonstration's earlier jobs are those of its procedure, and are taken like any file of phase times."""

from __future__ import annotations

from pathlib import Path

from bench.make_demo_times import EARLIER, earlier_jobs
from sparehand.ground.places import bundled
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.times_csv import import_times


def test_the_earlier_jobs_are_taken_whole_and_are_what_the_procedure_of_today_brings(tmp_path: Path) -> None:
    folder = bundled("procedures")
    store = SqliteEventStore(tmp_path / "log.sqlite")
    report = import_times(folder / "engine-mounts.times.csv", store)
    assert (report.bad, report.known, report.taken) == (0, 0, report.rows)
    assert store.times.imported() == earlier_jobs(folder / "engine-mounts.yaml")
    assert len(store.times.imported()) == len(EARLIER)
    store.close()
