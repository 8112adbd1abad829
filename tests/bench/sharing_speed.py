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
from concurrent.futures import ProcessPoolExecutor
from datetime import UTC, datetime, timedelta
from functools import partial
from multiprocessing import get_context
from pathlib import Path
from statistics import median

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


class Clock:
    """Times what is done, and compares it with a plain read of the same file, where there is one."""

    def __init__(self, plain_seconds: float = 0.0) -> None:
        self._plain = plain_seconds

    def timed(self, what: str, count: int, unit: str, work: Callable[[], object]) -> None:
        """Do it and tell the rate."""
        started, busy = time.perf_counter(), time.process_time()
        work()
        took, busy = time.perf_counter() - started, time.process_time() - busy
        reads = f", {busy / self._plain:.1f} plain reads" if self._plain else ""
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // MEGABYTE
        print(
            f"{what}: {count:,} {unit}, wall {took:.1f} s, processor {busy:.2f} s{reads}, {peak} MB",
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


def plain_read(path: Path) -> float:
    """The processor's seconds that reading the numbers of such a file costs at least, to compare with."""
    busy = time.process_time()
    np.loadtxt(path, delimiter=",", skiprows=1, usecols=(COLUMNS.index("work_seconds"), COLUMNS.index("held_seconds")))
    return time.process_time() - busy


def plain_seconds(path: Path) -> float:
    """The middle one of five such reads, in a process of its own, so that its memory does not count here."""
    with ProcessPoolExecutor(1, mp_context=get_context("spawn")) as pool:
        return median(pool.map(plain_read, [path] * 5))


def record(store: SqliteEventStore, events: int) -> None:
    """Events one by one, as a bench at work records them."""
    for number in range(events // JOB_EVENTS):
        job = f"{260101 + number // 500}-{number % 500:04d}"
        for place, one in enumerate((*long_job(job, JOB_EVENTS - 1), *recorded(job, JOB_EVENTS - 1, JobClosed()))):
            store.append(job, place, [one])


def measure_rows(rows: int, scratch: Path, bay: SharedDatabase | None) -> None:
    """The times of a file in, again, and where there is a shared database out to it and into another bench's copy."""
    one, two = scratch / f"one-{rows}", scratch / f"two-{rows}"
    one.mkdir()
    store = SqliteEventStore(one / "log.sqlite")
    write_rows(one / "times.csv", rows)
    plain = plain_seconds(one / "times.csv")
    print(f"read by numpy, its two columns of seconds: {rows:,} rows, processor {plain:.3f} s")
    clock = Clock(plain)
    for what in ("imported", "imported again"):
        clock.timed(what, rows, "rows", lambda: import_times(one / "times.csv", store))
    (one / "times.csv").unlink()
    if bay is not None:
        sender = Sender("bay one", SyncStates(one))
        clock.timed("pushed", rows, "rows", lambda: push(bay, store, sender))
        other, copy = SqliteEventStore(two / "log.sqlite"), ShopCopy(two)
        clock.timed("fetched and added up", rows, "rows", lambda: pull(bay, other, copy, ""))
        other.close()
        copy.close()
    store.close()


def main() -> None:
    """Measure and print."""
    reader = argparse.ArgumentParser()
    reader.add_argument("--rows", type=int, nargs="+", default=[100_000])
    reader.add_argument("--events", type=int, default=5_000)
    reader.add_argument("--import-only", action="store_true")
    given = reader.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        if given.import_only:
            for rows in given.rows:
                measure_rows(rows, Path(scratch), None)
            return
        for rows in given.rows:
            with running_server() as server:
                owner = SharedDatabase(read_address(server.url("postgres")))
                set_up(owner)
                server.tell("postgres", "CREATE ROLE bay LOGIN")
                admit(owner, "bay", "Demo Shop")
                bay = SharedDatabase(read_address(server.url("postgres", "bay")))
                store, clock = SqliteEventStore(Path(scratch, f"events-{rows}", "log.sqlite")), Clock()
                sender = Sender("bay zero", SyncStates(store.path.parent))
                clock.timed("recorded, each durable", given.events, "events", partial(record, store, given.events))
                clock.timed("pushed", given.events, "events", partial(push, bay, store, sender))
                measure_rows(rows, Path(scratch), bay)
                size = server.tell("postgres", "SELECT pg_size_pretty(pg_database_size('postgres'))")[0][0]
                print("in the database:", size)
                for each in (store, bay, owner):
                    each.close()


if __name__ == "__main__":
    main()
