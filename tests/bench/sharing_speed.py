"""How many events and phase times a second go into a log, into the shared database and into another bench's copy.

From the repository root: `python tests/bench/sharing_speed.py --rows 1000000`. The server is the one of the tests'
wheel, on this machine, without fsync; the log syncs as it always does.
"""

from __future__ import annotations

import argparse
import resource
import sys
import tempfile
import time
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from log.demo import long_job, recorded
from sharing.server import running_server
from sparehand.job.events import JobClosed
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.time_rows import COLUMNS
from sparehand.log.times_csv import import_times
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.database_address import read_address
from sparehand.sharing.database_schema import admit, set_up
from sparehand.sharing.pull import pull
from sparehand.sharing.push import Sender, push
from sparehand.sharing.shop_copy import ShopCopy
from sparehand.sharing.sync_state import SyncStates

PHASES, PROCEDURES, JOB_EVENTS, MEGABYTE = 8, 40, 250, 1024


def timed(what: str, count: int, unit: str, work: Callable[[], object]) -> None:
    """Do it and tell the rate."""
    started, busy = time.perf_counter(), time.process_time()
    work()
    took, busy = time.perf_counter() - started, time.process_time() - busy
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // MEGABYTE
    print(
        f"{what}: {count:,} {unit} in {took:.1f} s, {count / took:,.0f} a second, processor {busy:.1f} s, {peak} MB",
        flush=True,
    )


def write_rows(path: Path, rows: int) -> None:
    """An invented shop's phase times."""
    start = datetime(2024, 1, 8, 7, 30, tzinfo=UTC)
    with path.open("w", encoding="utf-8") as file:
        file.write(",".join(COLUMNS) + "\n")
        for number in range(rows):
            job, phase = divmod(number, PHASES)
            opened = (start + timedelta(minutes=job * 7)).isoformat()
            told = f"demo-{job % PROCEDURES},renew,Demo {job % 20},left,part-{phase},{300 + (number * 7919) % 1500}"
            file.write(f"demo-{job},{opened},{told},0,,none,lift,yes\n")


def plain_read(path: Path) -> None:
    """The least that reading the numbers of such a file costs, to compare with."""
    np.loadtxt(path, delimiter=",", skiprows=1, usecols=(COLUMNS.index("work_seconds"), COLUMNS.index("held_seconds")))


def record(store: SqliteEventStore, events: int) -> None:
    """Events one by one, as a bench at work records them."""
    for number in range(events // JOB_EVENTS):
        job = f"{260101 + number // 500}-{number % 500:04d}"
        for place, one in enumerate((*long_job(job, JOB_EVENTS - 1), *recorded(job, JOB_EVENTS - 1, JobClosed()))):
            store.append(job, place, [one])


def main() -> None:
    """Measure and print."""
    reader = argparse.ArgumentParser()
    reader.add_argument("--rows", type=int, default=100_000)
    reader.add_argument("--events", type=int, default=5_000)
    reader.add_argument("--import-only", action="store_true")
    given = reader.parse_args()
    with tempfile.TemporaryDirectory() as scratch, running_server() as server:
        one, two = Path(scratch, "one"), Path(scratch, "two")
        owner = SharedDatabase(read_address(server.url("postgres")))
        set_up(owner)
        server.tell("postgres", "CREATE ROLE bay LOGIN")
        admit(owner, "bay", "Demo Shop")
        bay = SharedDatabase(read_address(server.url("postgres", "bay")))
        store = SqliteEventStore(one / "log.sqlite")
        sender = Sender("bay one", SyncStates(one))
        timed("recorded, each durable", given.events, "events", lambda: record(store, given.events))
        timed("pushed", given.events, "events", lambda: push(bay, store, sender))
        write_rows(one / "times.csv", given.rows)
        timed(
            "read by numpy, its two columns of seconds",
            given.rows,
            "phase times",
            lambda: plain_read(one / "times.csv"),
        )
        told: list[float] = []
        timed(
            "imported", given.rows, "phase times", lambda: import_times(one / "times.csv", store, progress=told.append)
        )
        timed("imported again", given.rows, "phase times", lambda: import_times(one / "times.csv", store))
        print(f"progress told {len(told)} times, up to {told[-1]:.0%}")
        if given.import_only:
            return
        timed("pushed and counted", given.rows, "phase times", lambda: push(bay, store, sender))
        other, copy = SqliteEventStore(two / "log.sqlite"), ShopCopy(two)
        timed("pulled and counted", given.rows, "phase times", lambda: pull(bay, other, copy, ""))
        print("in the database:", server.tell("postgres", "SELECT pg_size_pretty(pg_database_size('postgres'))")[0][0])
        for each in (store, other, copy, bay, owner):
            each.close()


if __name__ == "__main__":
    main()
