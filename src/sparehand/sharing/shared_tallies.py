"""What the shop's phase times add up to, kept up in the transaction that brings them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime

from sqlalchemy import Connection

from sparehand.log import tally_tables
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.parcel import SentSummary
from sparehand.sharing.summaries import COLUMNS, CURRENT, summaries_in, times_of
from sparehand.times.job_times import JobTimes

ONE_BY_ONE = 200
"""From so many jobs at once on it is quicker to add all up anew."""
_READ_AT_ONCE = 2_000

_OF_PROCEDURE = f"""
SELECT {COLUMNS} FROM sparehand.summaries s JOIN sparehand.phase_times p USING (shop, month, job, revision)
WHERE s.shop = (SELECT sparehand.my_shop()) AND s.procedure = %s AND {CURRENT}
ORDER BY CAST(s.opened_at AS timestamptz), s.job, p.phase, p.side, p.technician
"""


def count_summaries(connection: Connection, summaries: Sequence[SentSummary], replaced: frozenset[str]) -> None:
    """Count summaries that were just put in; `replaced` are the procedures of those that had an earlier revision.

    The procedures come in one order, so that two benches never wait for each other.
    """
    connection.exec_driver_sql("SET LOCAL search_path = sparehand, pg_temp")
    closed = [summary for summary in summaries if summary.closed]
    anew = replaced | ({summary.procedure for summary in closed} if len(closed) > ONE_BY_ONE else frozenset())
    for procedure in sorted(anew | {summary.procedure for summary in closed}):
        if procedure in anew:
            tally_tables.set_aside(connection, [procedure])
            continue
        mine = [summary for summary in closed if summary.procedure == procedure]
        for summary in sorted(mine, key=lambda each: datetime.fromisoformat(each.opened_at)):
            tally_tables.count_job(connection, times_of(summary), jobs_of(connection))


def recount(database: SharedDatabase) -> None:
    """Count anew what was set aside, a procedure in a transaction."""
    waiting = True
    while waiting:
        with database.transaction() as connection:
            connection.exec_driver_sql("SET LOCAL search_path = sparehand, pg_temp")
            waiting = tally_tables.recount(connection, jobs_of(connection))


def jobs_of(connection: Connection) -> tally_tables.JobsOf:
    """What gives all jobs of a procedure in this shop, in the order of their opening, technicians by id."""

    def jobs(procedure: str) -> Iterator[JobTimes]:
        streamed = {"stream_results": True, "yield_per": _READ_AT_ONCE}
        rows = connection.exec_driver_sql(_OF_PROCEDURE, (procedure,), execution_options=streamed)
        return map(times_of, summaries_in(rows))

    return jobs
