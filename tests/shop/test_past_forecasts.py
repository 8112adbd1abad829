"""Past forecasts are tested once while the times stay, and again when they change."""

from __future__ import annotations

from pathlib import Path

import pytest

from labour.examples import job, link_jobs, procedure
from sparehand.labour.forecasting.forecast import learn
from sparehand.log.sqlite import SqliteEventStore
from sparehand.shop.past_forecasts import FILE, past_widening

NAME = "front-end"


def test_it_is_worked_out_once_until_the_times_change(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    done: list[int] = []

    def counting(*given: object) -> object:
        done.append(1)
        return learn(*given)  # type: ignore[arg-type]

    monkeypatch.setattr("sparehand.labour.judging.recent_forecasts.learn", counting)
    store = SqliteEventStore(tmp_path / "log.sqlite")
    for times in link_jobs(30):
        store.times.keep(times)
    first = past_widening(store, procedure(), NAME, tmp_path)
    fits = len(done)
    assert 0 < fits <= 5
    assert past_widening(store, procedure(), NAME, tmp_path) == first
    assert len(done) == fits
    store.times.keep(job(60, {"access": 20, "link/left": 30, "refit": 25}))
    past_widening(store, procedure(), NAME, tmp_path)
    (tmp_path / FILE).write_text("[]", encoding="utf-8")
    past_widening(store, procedure(), NAME, tmp_path)
    assert len(done) == 3 * fits
    store.close()


def test_the_latest_jobs_are_read_and_no_more(tmp_path: Path) -> None:
    store = SqliteEventStore(tmp_path / "log.sqlite")
    for times in link_jobs(30):
        store.times.keep(times)
    assert [times.job for times in store.times.latest(NAME, 4)] == ["job-26", "job-27", "job-28", "job-29"]
    assert store.times.latest("another", 4) == ()
    store.close()
