"""Which jobs' times count for estimates: shown at the desk, and decided by a person."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path

from sparehand.ground.errors import InputError
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.plurals import how_many
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.visit_records import TIMES_DECIDED, VisitRecord, VisitRecords
from sparehand.settings import load_settings
from sparehand.shop.earlier_jobs import other_procedures
from sparehand.times.what_counts import left_out_reason


def print_review(data: Path | None) -> None:
    """The jobs whose times do not count, each with its reason."""
    from sparehand.shop.shop_belief import judge_imported

    folder = data_folder(data)
    store = SqliteEventStore(folder / LOG_FILE, read_only=True)
    judge_imported(store, other_procedures(store.times.status().procedures, "", folder))
    jobs = [*store.times.of_this_bench(), *store.times.imported()]
    left_out = [(job, left_out_reason(job, {})) for job in jobs]
    for job, reason in left_out:
        if reason:
            print(f"{job.job}  {job.opened_at:%Y-%m-%d}  {job.procedure}: left out, {reason}")
    count = sum(bool(reason) for _, reason in left_out)
    print(f"{count} of {how_many(len(jobs), 'job')} do not count. Change one with `times let-in` or `times leave-out`.")


def decide_times(job: str, left_out: str, data: Path | None) -> None:
    """Leave a job's times out for a reason, or ("") let them count. Raises InputError for a job that has none."""
    folder = data_folder(data)
    store = SqliteEventStore(folder / LOG_FILE)
    known = [each.job for each in (*store.times.of_this_bench(), *store.times.imported())]
    found = [each for each in known if each == job] or [each for each in known if each.startswith(job)]
    if len(found) != 1:
        raise InputError(f"'{job}' names {how_many(len(found), 'job')} that have times; give more of the name")
    by = load_settings(folder).technician or "the desk"
    body = json.dumps({"left out": left_out})
    record = VisitRecord(TIMES_DECIDED, found[0], datetime.now(UTC), by, body, None)
    VisitRecords(store.engine, store.path).add([record])
    store.times.decide(found[0], left_out)
    print(f"{found[0]}: {f'left out, {left_out}' if left_out else 'counts'}")
