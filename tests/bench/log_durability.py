"""What durability costs: events a second, time from a decision to its durable event, opening, memory.

`python tests/bench/log_durability.py [FOLDER]`; the numbers are those of the disk that FOLDER is on.
"""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

_IMPORT = "import time; t = time.perf_counter(); import {}; print(time.perf_counter() - t)"


def main(folder: Path) -> None:
    """Print one line a figure."""
    print(f"plain fsync of 4 KiB here: {_median_ms(_plain_sync(folder), 100):.2f} ms")
    for module in ("sparehand.job.events", "sparehand.log.sqlite"):
        print(f"import {module}: {1000 * _import_seconds(module):.0f} ms")

    sys.path.insert(0, str(Path(__file__).parents[1]))
    from log.demo import long_job
    from sparehand.log.sqlite import SqliteEventStore

    path = folder / "log.sqlite"
    started = time.perf_counter()
    store = SqliteEventStore(path)
    print(f"make a new log: {1000 * (time.perf_counter() - started):.1f} ms")
    job = long_job("261125-k7qm", 2000)
    took = []
    for one in job:
        started = time.perf_counter()
        store.append(one.job, one.sequence, [one])
        took.append(time.perf_counter() - started)
    took.sort()
    print(
        f"from decision to durable event: median {1000 * statistics.median(took):.2f} ms, "
        f"95 % {1000 * took[int(0.95 * len(took))]:.2f} ms, longest {1000 * took[-1]:.1f} ms"
    )
    print(f"durable events a second, one at a time: {len(job) / sum(took):.0f}")
    many = long_job("261126-b2xz", 2000)
    started = time.perf_counter()
    store.append(many[0].job, 0, many)
    print(f"durable events a second, 2000 together: {len(many) / (time.perf_counter() - started):.0f}")
    store.close()
    _reading(path, job[0].job)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1024 * 1024 if sys.platform == "darwin" else 1024)
    print(f"peak memory of all this: {peak:.0f} MB; the log: {path.stat().st_size / 1e6:.1f} MB for 4000 events")


def _reading(path: Path, job: str) -> None:
    from sparehand.log.sqlite import SqliteEventStore

    def opened() -> None:
        store = SqliteEventStore(path, read_only=True)
        store.jobs()
        store.close()

    store = SqliteEventStore(path)
    print(f"open a log and list its jobs: {_median_ms(opened, 20):.1f} ms")
    print(f"read and check a job of 2000 events: {_median_ms(lambda: store.events(job), 5):.0f} ms")
    store.close()


def _median_ms(action: Callable[[], object], times: int) -> float:
    took = []
    for _ in range(times):
        started = time.perf_counter()
        action()
        took.append(time.perf_counter() - started)
    return 1000 * statistics.median(took)


def _plain_sync(folder: Path) -> Callable[[], None]:
    descriptor = os.open(folder / "plain", os.O_RDWR | os.O_CREAT)

    def write_and_sync() -> None:
        os.write(descriptor, bytes(4096))
        os.fsync(descriptor)

    return write_and_sync


def _import_seconds(module: str) -> float:
    runs = [
        float(subprocess.run([sys.executable, "-c", _IMPORT.format(module)], capture_output=True, check=True).stdout)
        for _ in range(5)
    ]
    return min(runs)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory(dir=sys.argv[1] if len(sys.argv) > 1 else None) as place:
        main(Path(place))
