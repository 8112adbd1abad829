"""Phase times as they are kept for estimates: of this bench's closed jobs, and of jobs imported."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import datetime
from itertools import groupby
from typing import Any

from sqlalchemy import Connection, RowMapping, Select, delete, false, insert, or_, select, true, update

from sparehand.log import tally_tables
from sparehand.log.people import People
from sparehand.log.store import DamagedLogError
from sparehand.log.tables import JOBS, PHASE_TIMES
from sparehand.log.time_rows import COLUMNS, TimeRow, phase_time, rows_of, seal_of
from sparehand.times.job_times import JobTimes

_P = PHASE_TIMES.c
_READ_AT_ONCE = 400


def keep(connection: Connection, times: JobTimes) -> None:
    """Keep the times of a closed job of this bench, in place of what was kept of it before."""
    people = People(connection)
    moved = set(connection.scalars(select(_P.procedure).where(_P.job == times.job)))
    decided = connection.scalar(select(_P.left_out).where(_P.job == times.job).limit(1))
    connection.execute(delete(PHASE_TIMES).where(_P.job == times.job))
    rows = [
        vars(row)
        | {
            "technician": people.id_of(row.technician),
            "rework": times.rework,
            "imported": False,
            "seal": seal_of(row),
            "left_out": times.left_out if decided is None else decided,
        }
        for row in rows_of(times)
    ]
    if rows:
        connection.execute(insert(PHASE_TIMES), rows)
    tally_tables.set_aside(connection, moved - ({times.procedure} if rows else set()))
    for counted in _read(connection, _rows(None).where(_P.job == times.job), str):
        tally_tables.count_job(connection, counted, jobs_of(connection), again=bool(moved))


def decide(connection: Connection, job: str, left_out: str) -> None:
    """Leave the times of a job out for a reason, or ("") let them count, whatever was decided before."""
    procedures = set(connection.scalars(select(_P.procedure).where(_P.job == job)))
    connection.execute(update(PHASE_TIMES).where(_P.job == job).values(left_out=left_out))
    tally_tables.set_aside(connection, procedures)


def drop(connection: Connection, job: str) -> None:
    """Keep no times of a job of this bench any more."""
    moved = set(connection.scalars(select(_P.procedure).where(_P.job == job)))
    connection.execute(delete(PHASE_TIMES).where(_P.job == job))
    tally_tables.set_aside(connection, moved)


def jobs_of(connection: Connection) -> tally_tables.JobsOf:
    """What gives all jobs of a procedure that count, this bench's and imported ones, their technicians by id.

    They come in the order of their opening, some hundreds at a time, so that very many fill no memory.
    """
    counting = or_(_P.imported == false(), _P.job.not_in(select(JOBS.c.job)))

    def jobs(procedure: str) -> Iterator[JobTimes]:
        found = connection.execute(select(_P.job, _P.opened_at).where(_P.procedure == procedure, counting).distinct())
        ordered = [job for _, job in sorted((datetime.fromisoformat(opened), job) for job, opened in found)]
        for start in range(0, len(ordered), _READ_AT_ONCE):
            some = ordered[start : start + _READ_AT_ONCE]
            yield from _read(connection, _rows(procedure).where(_P.job.in_(some)), str)

    return jobs


def of_this_bench(connection: Connection, procedure: str | None = None) -> tuple[JobTimes, ...]:
    """The times of this bench's closed jobs, the oldest first; of one procedure if it is named."""
    return _read(connection, _rows(procedure).where(_P.imported == false()))


def of_job(connection: Connection, job: str) -> JobTimes | None:
    """The times kept of one job of this bench, if there are any."""
    return next(iter(_read(connection, _rows(None).where(_P.imported == false(), _P.job == job))), None)


def imported(connection: Connection, procedure: str | None = None) -> tuple[JobTimes, ...]:
    """The times of jobs that were imported and are not jobs of this bench, the oldest first."""
    here = select(JOBS.c.job)
    return _read(connection, _rows(procedure).where(_P.imported == true(), _P.job.not_in(here)))


def closed_without_times(connection: Connection) -> tuple[str, ...]:
    """The closed jobs of this bench whose times are not kept, as after a kill between closing and keeping."""
    with_times = select(_P.job).where(_P.imported == false())
    query = select(JOBS.c.job).where(JOBS.c.closed_batch.is_not(None), JOBS.c.job.not_in(with_times))
    return tuple(connection.scalars(query.order_by(JOBS.c.opened_at)))


def _rows(procedure: str | None) -> Select[Any]:
    query = select(PHASE_TIMES).order_by(_P.job, _P.place)
    return query if procedure is None else query.where(_P.procedure == procedure)


def _read(
    connection: Connection, query: Select[Any], name_of: Callable[[str], str] | None = None
) -> tuple[JobTimes, ...]:
    """The jobs of a query; `name_of` gives what to call technicians by, their names if not said."""
    called = name_of or People(connection).name_of
    rows = connection.execute(query).mappings()
    jobs = [_job_times(list(of_job), called) for _, of_job in groupby(rows, key=lambda row: row["job"])]
    return tuple(sorted(jobs, key=lambda times: (times.opened_at, times.job)))


def _job_times(kept_rows: Sequence[RowMapping], called: Callable[[str], str]) -> JobTimes:
    rows = [time_row(row, called(row["technician"])) for row in kept_rows]
    first = rows[0]
    return JobTimes.model_validate(
        {
            "job": first.job,
            "opened_at": datetime.fromisoformat(first.opened_at),
            "procedure": first.procedure,
            "operations": tuple(first.operations.split(";")),
            "corrosion": first.corrosion,
            "support": first.support,
            "phases": tuple(phase_time(row) for row in rows),
            "rework": kept_rows[0]["rework"],
            "left_out": kept_rows[0]["left_out"],
        }
    )


def time_row(kept_row: Mapping[Any, Any], technician: str) -> TimeRow:
    """The row that a database row holds, with the technician's name in place of the id.

    Raises DamagedLogError where it is not what was written.
    """
    values = {column: kept_row[column] for column in COLUMNS} | {"technician": technician}
    row = TimeRow(**values | {"complete": bool(values["complete"])})
    if seal_of(row) != kept_row["seal"]:
        raise DamagedLogError(
            f"the time of job {row.job} in {row.phase} is not what was written; see `sparehand log verify`"
        )
    return row
