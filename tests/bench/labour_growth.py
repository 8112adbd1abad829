"""What a quote costs as a log grows: beside one SQL aggregate over its phase times, the least that reading them costs.

From the repository root: `python tests/bench/labour_growth.py 10000 100000 1000000 10000000`. The times are generated
into a plain table of the database, and their tallies from the same distribution: what is measured is reading, not
counting, in seconds of the processor.
"""

from __future__ import annotations

import argparse
import json
import resource
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
from sqlalchemy import Engine, insert, text

from sparehand.labour.forecasting.quote import quote_from_belief
from sparehand.labour.forecasting.quote_records import QuoteRequest
from sparehand.log import tally_tables
from sparehand.log.shown_names import seal_of_person
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.tables import PEOPLE
from sparehand.shop.shop_belief import FILE, quote_inputs
from sparehand.times.pattern_sums import ALL, PERSON, PatternSums, time_name
from sparehand.times.tally import Tally
from sparehand.times.time_cells import TimeCell

OPERATIONS, TECHNICIANS, PHASES = 200, 20, 8
UNIT = 79_000
ASKED = QuoteRequest(procedure="operation-7")
AGGREGATE = (
    "SELECT procedure, phase, technician, corrosion, support, count(*), sum(work_seconds), "
    "sum(work_seconds * work_seconds) FROM phase_times GROUP BY procedure, phase, technician, corrosion, support"
)
ROWS = """
CREATE TABLE phase_times AS
WITH RECURSIVE s(n) AS (SELECT 0 UNION ALL SELECT n + 1 FROM s WHERE n < {last})
SELECT 'job-' || (n / 8) AS job, 'phase-' || (n % 8) AS phase, 'technician-' || (n / 8 / 200 % 20) AS technician,
       'operation-' || (n / 8 % 200) AS procedure, 600.0 + (n * 7919 % 1200) AS work_seconds, 'none' AS corrosion,
       'lift' AS support
FROM s
"""


def made_tallies(rows: int) -> Iterator[Tally]:
    """What such times add up to: every technician has done every operation."""
    rng = np.random.default_rng(11)
    each = max(1, rows // (OPERATIONS * TECHNICIANS * PHASES))
    phases = [f"phase-{number}" for number in range(PHASES)]
    for operation in range(OPERATIONS):
        typical = np.log(1200) + 0.35 * rng.standard_normal(PHASES)
        tally, jobs, seen = Tally(f"operation-{operation}"), list[np.ndarray](), []
        people = [f"technician-{technician}" for technician in range(TECHNICIANS)]
        for place, technician in enumerate(people):
            logs = typical + 0.14 * rng.standard_normal((each, 1)) + 0.25 * rng.standard_normal((each, PHASES))
            shared = np.zeros((each, TECHNICIANS + 2))
            shared[:, [0, 1 + place, -1]] = 1.0
            jobs.append(np.concatenate([shared, logs], axis=1))
            tally.jobs[technician] = each
            tally.last[technician] = ("2024-03-01T08:00:00.000000+00:00", "job")
            seen.append(np.floor(4 * logs / np.log(2)).astype(int))
        products = np.concatenate(jobs).T @ np.concatenate(jobs)
        own = slice(TECHNICIANS + 2, None)
        tally.sums[json.dumps([[phase, False] for phase in phases])] = PatternSums(
            names=[ALL, *(PERSON + name for name in people), time_name(TimeCell(UNIT))],
            regressors=[row[: place + 1].tolist() for place, row in enumerate(products[: TECHNICIANS + 2])],
            crossed=products[: TECHNICIANS + 2, own].tolist(),
            logs=[row[: place + 1].tolist() for place, row in enumerate(products[own, own])],
            latest=UNIT,
        )
        tally.supports["lift"] = each * TECHNICIANS
        tally.shapes[json.dumps([["all"], [[phase, None, True] for phase in phases]])] = each * TECHNICIANS
        for place, phase in enumerate(phases):
            tally.worked[json.dumps([phase, "none"])] = each * TECHNICIANS
            tally.bins[phase] = dict(Counter(np.concatenate(seen)[:, place].tolist()))
            tally.anchors[phase] = float(np.exp(typical[place]))
        yield tally


def filled(engine: Engine, rows: int) -> None:
    """Put the times and their tallies into empty tables."""
    with engine.begin() as connection:
        connection.execute(text(ROWS.format(last=rows - 1)))
        for name in (f"technician-{number}" for number in range(TECHNICIANS)):
            connection.execute(insert(PEOPLE).values(id=name, name=name, seal=seal_of_person(name, name)))
        for tally in made_tallies(rows):
            tally_tables.put(connection, tally)


def seconds(work: Callable[[], object]) -> float:
    """How long it takes of the processor, once."""
    started = time.process_time()
    work()
    return time.process_time() - started


def measured(rows: int, folder: Path) -> str:
    """One line of the table."""
    store = SqliteEventStore(folder / f"log-{rows}.sqlite")
    filled(store.engine, rows)
    (folder / FILE).unlink(missing_ok=True)

    def quote() -> None:
        inputs = quote_inputs(store, None, ASKED.procedure, folder)
        quote_from_belief(ASKED, None, inputs.own, inputs.belief, inputs.plans)

    first, again = seconds(quote), min(seconds(quote) for _ in range(3))
    with store.engine.connect() as connection:
        whole = min(seconds(lambda: connection.exec_driver_sql(AGGREGATE).all()) for _ in range(2))
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    return (
        f"| {rows:,} | {whole:.2f} s | {first:.2f} s, {first / whole:.2f} | {again:.2f} s, {again / whole:.3f} "
        f"| {memory:.0f} MB |"
    )


def main() -> None:
    """Print a table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("rows", type=int, nargs="+")
    given = parser.parse_args()
    print("| phase times | one aggregate over them | first quote, share | next quote, share | memory at most |")
    print("| --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder:
        for rows in given.rows:
            print(measured(rows, Path(folder)), flush=True)


if __name__ == "__main__":
    main()
