"""What a quote costs as a log grows: beside one SQL aggregate over its phase times, the least that reading them costs.

From SQLite by the processor, from PostgreSQL by the wall.

From the repository root: `python tests/bench/labour_growth.py 10000 100000 1000000 10000000`, with `--postgres URL`
on an empty database there instead of SQLite. The times are generated into a plain table of the database, and their
tallies from the same distribution: what is measured is reading, not counting.
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
from typing import Any

import numpy as np
from sqlalchemy import Connection, Engine, create_engine, insert, text

from sparehand.labour.evidence.tally_evidence import tallied_evidence
from sparehand.labour.fitting.belief import QuoteInputs, believe_shop
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.forecasting.quote import quote_from_belief
from sparehand.labour.forecasting.quote_records import QuoteRequest
from sparehand.log import tally_tables
from sparehand.log.shown_names import seal_of_person
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.tables import METADATA, PEOPLE
from sparehand.shop.shop_belief import FILE, quote_inputs
from sparehand.times.pattern_sums import ALL, PERSON, PatternSums, time_name
from sparehand.times.sample import Plans
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
SELECT 'job-' || (n / 8) AS job, 'phase-' || (n % 8) AS phase, 'technician-' || (n / 8 / 200 % 20) AS technician,
       'operation-' || (n / 8 % 200) AS procedure, 600.0 + (n * 7919 % 1200) AS work_seconds, 'none' AS corrosion,
       'lift' AS support
FROM {series}
"""


def numbers(connection: Connection, rows: int) -> str:
    """The statement that makes a table of the times, a row each, in the dialect of the database."""
    series = f"generate_series(CAST(0 AS bigint), {rows - 1}) AS s(n)"
    if connection.dialect.name == "sqlite":
        series = (
            f"(WITH RECURSIVE s(n) AS (SELECT 0 UNION ALL SELECT n + 1 FROM s WHERE n < {rows - 1}) SELECT n FROM s)"
        )
    return ROWS.format(series=series)


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
        tally.patterns[json.dumps([[phase, False] for phase in phases])] = PatternSums(
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
        connection.execute(text(numbers(connection, rows)))
        named = TECHNICIANS if engine.dialect.name == "sqlite" else 0
        for name in (f"technician-{number}" for number in range(named)):
            connection.execute(insert(PEOPLE).values(id=name, name=name, seal=seal_of_person(name, name)))
        for tally in made_tallies(rows):
            tally_tables.put(connection, tally)
    if engine.dialect.name == "postgresql":
        with engine.connect().execution_options(isolation_level="AUTOCOMMIT") as connection:
            connection.exec_driver_sql("VACUUM ANALYZE phase_times")


def seconds(work: Callable[[], Any], clock: Callable[[], float]) -> float:
    """How long it takes, once."""
    started = clock()
    work()
    return clock() - started


def quote(inputs: QuoteInputs) -> None:
    """The quote itself."""
    quote_from_belief(ASKED, None, inputs.own, inputs.belief, inputs.plans)


def of_postgres(engine: Engine) -> Callable[[], None]:
    """The quote from PostgreSQL with the shop's belief at hand."""
    with engine.connect() as connection:
        every = tallied_evidence(tally_tables.tallies(connection, lambda _: ()), Plans())
    belief = believe_shop(every, Plans(), Priors())

    def ask() -> None:
        with engine.connect() as connection:
            own = tallied_evidence([tally_tables.tally(connection, ASKED.procedure, lambda _: ())], Plans())
            tally_tables.revision(connection)
        quote(QuoteInputs(belief, own, Plans()))

    return ask


def measured(rows: int, folder: Path, postgres: str | None) -> str:
    """One line of the table."""
    clock = time.perf_counter if postgres else time.process_time
    if postgres:
        engine = create_engine(postgres.replace("postgresql://", "postgresql+psycopg://"))
        METADATA.drop_all(engine)
        with engine.begin() as connection:
            connection.exec_driver_sql("DROP TABLE IF EXISTS phase_times")
        METADATA.create_all(engine)
        filled(engine, rows)
        made: list[Callable[[], None]] = []
        first = seconds(lambda: made.append(of_postgres(engine)), clock) + seconds(lambda: made[0](), clock)
        again = min(seconds(made[0], clock) for _ in range(3))
    else:
        store = SqliteEventStore(folder / f"log-{rows}.sqlite")
        engine = store.engine
        filled(engine, rows)
        (folder / FILE).unlink(missing_ok=True)
        first = seconds(lambda: quote(quote_inputs(store, None, ASKED.procedure, folder)), clock)
        again = min(seconds(lambda: quote(quote_inputs(store, None, ASKED.procedure, folder)), clock) for _ in range(3))
    with engine.connect() as connection:
        whole = min(seconds(lambda: connection.exec_driver_sql(AGGREGATE).all(), clock) for _ in range(2))
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    name = "PostgreSQL" if postgres else "SQLite"
    return (
        f"| {name} | {rows:,} | {whole:.2f} s | {first:.2f} s, {first / whole:.2f} "
        f"| {again:.2f} s, {again / whole:.3f} | {memory:.0f} MB |"
    )


def main() -> None:
    """Print a table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("rows", type=int, nargs="+")
    parser.add_argument("--postgres", metavar="URL")
    given = parser.parse_args()
    print("| log | phase times | one aggregate over them | first quote, share | next quote, share | memory at most |")
    print("| --- | --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder:
        for rows in given.rows:
            print(measured(rows, Path(folder), given.postgres), flush=True)


if __name__ == "__main__":
    main()
