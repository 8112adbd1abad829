"""Rows on their way into the shared database: copied into temporary tables, then put in place where they are new.

Sent twice they count once. Row-level security keeps COPY out of the tables themselves.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from functools import lru_cache
from operator import attrgetter
from typing import Any, cast
from uuid import UUID

import psycopg
from sqlalchemy import Connection

from sparehand.log.packed_jobs import cells_of
from sparehand.sharing.parcel import Parcel, SentSummary

_COLUMNS: Mapping[str, str] = {
    "jobs": "job, month, name",
    "events": "job, month, sequence, kind, body, chain, redacted, before",
    "summaries": "job, month, revision, rework, imported, closed, name, opened_at, procedure, operations, corrosion, "
    "support",
    "people": "person, name",
}
_PHASE_TIMES = "job, month, revision, phase, side, technician, snags, complete, work_seconds, held_seconds"
_ESCAPES = str.maketrans({"\\": r"\\", "\t": r"\t", "\n": r"\n", "\r": r"\r"})
"""What COPY reads otherwise in its text form."""

_STAGES = """
CREATE TEMP TABLE IF NOT EXISTS staged_jobs (job uuid, month date, name text) ON COMMIT DELETE ROWS;
CREATE TEMP TABLE IF NOT EXISTS staged_events (job uuid, month date, sequence integer, kind text, body text,
    chain bytea, redacted boolean, before bytea) ON COMMIT DELETE ROWS;
CREATE TEMP TABLE IF NOT EXISTS staged_summaries (job uuid, month date, revision integer, name text, opened_at text,
    procedure text, operations text, corrosion text, support text, rework boolean, imported boolean, closed boolean)
    ON COMMIT DELETE ROWS;
CREATE TEMP TABLE IF NOT EXISTS staged_phase_times (job uuid, month date, revision integer, phase text, side text,
    technician text, work_seconds double precision, held_seconds double precision, snags text, complete boolean)
    ON COMMIT DELETE ROWS;
CREATE TEMP TABLE IF NOT EXISTS staged_people (person text, name text) ON COMMIT DELETE ROWS;
"""

_WENT_ANOTHER_WAY = """
SELECT j.name, j.job FROM staged_jobs j WHERE j.job IN (
    SELECT s.job FROM staged_events s JOIN sparehand.events e
        ON e.shop = %(shop)s AND e.month = s.month AND e.job = s.job AND e.sequence = s.sequence
    WHERE e.chain <> s.chain
    UNION
    SELECT s.job FROM (SELECT DISTINCT ON (job) * FROM staged_events ORDER BY job, sequence) s
    WHERE s.sequence > 0 AND NOT EXISTS (
        SELECT 1 FROM sparehand.events e WHERE e.shop = %(shop)s AND e.month = s.month AND e.job = s.job
            AND e.sequence = s.sequence - 1 AND e.chain = s.before)
    UNION
    SELECT k.job FROM sparehand.jobs k WHERE k.shop = %(shop)s AND k.job IN (SELECT job FROM staged_jobs)
        AND k.installation NOT IN (SELECT sparehand.my_installations()))
ORDER BY j.name
"""

_PUT = (
    """INSERT INTO sparehand.jobs (shop, job, month, name, bench, installation)
    SELECT %(shop)s, job, month, name, %(bench)s, %(installation)s FROM staged_jobs ON CONFLICT DO NOTHING""",
    """INSERT INTO sparehand.events (shop, month, job, sequence, kind, body, chain, redacted, installation, push)
    SELECT %(shop)s, month, job, sequence, kind, body, chain, redacted, %(installation)s, %(number)s
    FROM staged_events ON CONFLICT DO NOTHING""",
    """INSERT INTO sparehand.summaries (shop, month, job, revision, name, bench, opened_at, procedure, operations,
        corrosion, support, rework, imported, closed, installation, push)
    SELECT %(shop)s, month, job, revision, name, %(bench)s, opened_at, procedure, operations, corrosion, support,
        rework, imported, closed, %(installation)s, %(number)s
    FROM staged_summaries ON CONFLICT DO NOTHING""",
    """INSERT INTO sparehand.phase_times (shop, month, job, revision, phase, side, technician, work_seconds,
        held_seconds, snags, complete)
    SELECT %(shop)s, month, job, revision, phase, side, technician, work_seconds, held_seconds, snags, complete
    FROM staged_phase_times t WHERE EXISTS (
        SELECT 1 FROM sparehand.summaries s WHERE s.shop = %(shop)s AND s.month = t.month AND s.job = t.job
            AND s.revision = t.revision AND s.installation = %(installation)s AND s.push = %(number)s)""",
    """INSERT INTO sparehand.people (shop, person, name, installation)
    SELECT %(shop)s, person, name, %(installation)s FROM staged_people ON CONFLICT DO NOTHING""",
)


_of_summary = attrgetter("job", "month", "revision", "rework", "imported", "closed")


def stage(connection: Connection, parcel: Parcel) -> None:
    """Copy a parcel into this session's temporary tables, which the end of the transaction empties."""
    cursor = cast(psycopg.Connection, connection.connection.driver_connection).cursor()
    cursor.execute(_STAGES.encode())
    for table, columns in _COLUMNS.items():
        rows = list(_rows(table, parcel))
        if not rows:
            continue
        with cursor.copy(f"COPY staged_{table} ({columns}) FROM STDIN".encode()) as copy:
            for row in rows:
                copy.write_row(row)
    if parcel.summaries:
        with cursor.copy(f"COPY staged_phase_times ({_PHASE_TIMES}) FROM STDIN".encode()) as copy:
            copy.write("".join(line for summary in parcel.summaries for line in _phase_times(summary)))


def drop_what_went_another_way(connection: Connection, shop: str) -> tuple[str, ...]:
    """Take the jobs out of the stage whose events contradict, or do not follow, those there, or are another login's.

    Gives their names.
    """
    found = connection.exec_driver_sql(_WENT_ANOTHER_WAY, {"shop": shop}).all()
    jobs: list[UUID] = [row.job for row in found]
    for table in ("jobs", "events", "summaries", "phase_times") if jobs else ():
        connection.exec_driver_sql(f"DELETE FROM staged_{table} WHERE job = ANY(%s)", (jobs,))
    return tuple(row.name for row in found)


def put(connection: Connection, values: Mapping[str, object]) -> int:
    """Put what is staged in place; gives how many events and phase times are new there.

    `values` are those of the push: shop, bench, installation and number.
    """
    new = [connection.exec_driver_sql(statement, values).rowcount for statement in _PUT]
    return new[1] + new[3]


def _rows(table: str, parcel: Parcel) -> Iterable[tuple[Any, ...]]:
    if table == "summaries":
        return ((*_of_summary(each), *each.times[:6]) for each in parcel.summaries)
    return map(attrgetter(*_COLUMNS[table].split(", ")), getattr(parcel, table))


def _phase_times(summary: SentSummary) -> Iterator[str]:
    """The phase times of a job in the text form of COPY."""
    job = f"{summary.job}\t{summary.month}\t{summary.revision}\t"
    for cells, seconds in zip(_cells(summary.times.phases), summary.times.seconds.split(";"), strict=False):
        yield f"{job}{cells}\t{seconds.replace(',', chr(9))}\n"


@lru_cache(maxsize=4096)
def _cells(phases: str) -> tuple[str, ...]:
    return tuple("\t".join(cell.translate(_ESCAPES) for cell in cells) for cells in cells_of(phases))
