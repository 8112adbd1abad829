"""Whether this shop's latest forecasts of a procedure held, worked out once while its times stay as they are."""

from __future__ import annotations

import json
from contextlib import suppress
from pathlib import Path
from typing import Any

from sparehand.labour.fitting.priors import Priors
from sparehand.labour.forecasting.widening import Widening
from sparehand.log.durable import write_durably
from sparehand.log.sqlite import SqliteEventStore
from sparehand.procedures.model import Procedure
from sparehand.sharing.read_shop_copy import open_shop_copy
from sparehand.shop.shop_belief import times_basis
from sparehand.times.job_times import JobTimes
from sparehand.times.sample import Plans, clean_jobs

FILE = "past-forecasts.json"


def past_widening(store: SqliteEventStore, procedure: Procedure | None, name: str, folder: Path) -> Widening:
    """By how much a quote of the procedure widens because the forecasts of its latest jobs did not hold."""
    basis = times_basis(store, procedure, folder)
    kept = _read(folder / FILE)
    if kept.get("basis") != basis:
        kept = {"basis": basis}
    if name not in kept:
        kept[name] = vars(_worked_out(store, procedure, name, folder))
        _write(folder / FILE, kept)
    return Widening(**kept[name])


def _worked_out(store: SqliteEventStore, procedure: Procedure | None, name: str, folder: Path) -> Widening:
    from sparehand.labour.judging.recent_forecasts import MOST_JOBS, recent_widening

    files = [procedure] if procedure else []
    jobs = clean_jobs(_latest(store, name, folder, MOST_JOBS), files)
    return recent_widening(jobs, Plans.of(files), Priors())


def _latest(store: SqliteEventStore, name: str, folder: Path, count: int) -> list[JobTimes]:
    """The latest jobs of this bench and of the others, each once."""
    jobs = {times.job: times for times in store.times.latest(name, count)}
    copy = open_shop_copy(folder)
    if copy:
        try:
            jobs = {times.job: times for times in copy.times.latest(name, count)} | jobs
        finally:
            copy.close()
    return sorted(jobs.values(), key=lambda times: times.opened_at)[-count:]


def _read(path: Path) -> dict[str, Any]:
    """What is kept; nothing where the file is missing or damaged, for it can be worked out again."""
    try:
        kept = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, RecursionError):
        return {}
    return kept if isinstance(kept, dict) else {}


def _write(path: Path, kept: dict[str, Any]) -> None:
    """Keep it if the folder can be written."""
    with suppress(OSError):
        write_durably(path, json.dumps(kept).encode())
