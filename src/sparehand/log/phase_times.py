"""Phase times as they are kept for estimates: of this bench's closed jobs, and of jobs imported."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from datetime import datetime
from itertools import groupby
from operator import itemgetter
from typing import Any

from sqlalchemy import Connection, Row, Select, delete, false, insert, or_, select, true, update

from sparehand.log import tally_tables
from sparehand.log.job_rows import rows_of
from sparehand.log.people import People
from sparehand.log.store import DamagedLogError
from sparehand.log.tables import JOBS, PHASE_TIMES
from sparehand.log.time_rows import COLUMNS, TimeRow, seal_of, sealed, snag_parts
from sparehand.times.job_times import JobTimes, KeptJob, KeptPhase, SnagTime
from sparehand.times.what_counts import CLICKED_THROUGH

_P = PHASE_TIMES.c
_READ_AT_ONCE = 400
_JOB = COLUMNS.index("job")


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
            "left_out": times.left_out if decided in (None, CLICKED_THROUGH) else decided,
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

    def jobs(procedure: str) -> Iterator[KeptJob]:
        ordered = _in_order(connection, procedure)
        for start in range(0, len(ordered), _READ_AT_ONCE):
            some = ordered[start : start + _READ_AT_ONCE]
            yield from _kept(connection, _rows(procedure).where(_P.job.in_(some)), str)

    return jobs


def latest(connection: Connection, procedure: str, count: int) -> tuple[JobTimes, ...]:
    """The times of the procedure's latest jobs that count, so many at most, the oldest first."""
    return _read(connection, _rows(procedure).where(_P.job.in_(_in_order(connection, procedure)[-count:])))


def _in_order(connection: Connection, procedure: str) -> list[str]:
    """The jobs of a procedure that count, in the order of their opening."""
    counting = or_(_P.imported == false(), _P.job.not_in(select(JOBS.c.job)))
    found = connection.execute(select(_P.job, _P.opened_at).where(_P.procedure == procedure, counting).distinct())
    return [job for _, job in sorted((datetime.fromisoformat(opened), job) for job, opened in found)]


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
    query = select(*(_P[column] for column in COLUMNS), _P.seal, _P.rework, _P.left_out).order_by(_P.job, _P.place)
    return query if procedure is None else query.where(_P.procedure == procedure)


def _read(
    connection: Connection, query: Select[Any], name_of: Callable[[str], str] | None = None
) -> tuple[JobTimes, ...]:
    """The jobs of a query; `name_of` gives what to call technicians by, their names if not said."""
    called = name_of or People(connection).name_of
    return tuple(kept.as_job_times() for kept in _kept(connection, query, called))


def _kept(connection: Connection, query: Select[Any], called: Callable[[str], str]) -> list[KeptJob]:
    grouped = groupby(connection.execute(query).all(), key=itemgetter(_JOB))
    return sorted((_job(list(rows), called) for _, rows in grouped), key=itemgetter(1, 0))


def _job(rows: Sequence[Row[Any]], called: Callable[[str], str]) -> KeptJob:
    """The job of rows of `_rows`. Their seals say that they are what was written, which was checked then."""
    first = rows[0]
    return KeptJob(
        first.job,
        datetime.fromisoformat(first.opened_at),
        first.procedure,
        tuple(first.operations.split(";")),
        first.corrosion,
        first.support,
        tuple(_phase(row, called) for row in rows),
        first.rework,
        first.left_out,
    )


def _phase(row: Row[Any], called: Callable[[str], str]) -> KeptPhase:
    values = row[: len(COLUMNS)]
    if sealed(values) != row[len(COLUMNS)]:
        raise _not_as_written(row.job, row.phase)
    _, _, _, _, technician, side, phase, work, held, told, _, _, complete = values
    snags = tuple(SnagTime(kind=kind, seconds=seconds) for kind, seconds in snag_parts(told)) if told else ()
    return KeptPhase(phase, side or None, called(technician), work, held, snags, complete)


def time_row(kept_row: Mapping[Any, Any], technician: str) -> TimeRow:
    """The row that a database row holds, with the technician's name in place of the id.

    Raises DamagedLogError where it is not what was written.
    """
    values = {column: kept_row[column] for column in COLUMNS} | {"technician": technician}
    row = TimeRow(**values | {"complete": bool(values["complete"])})
    if seal_of(row) != kept_row["seal"]:
        raise _not_as_written(row.job, row.phase)
    return row


def _not_as_written(job: str, phase: str) -> DamagedLogError:
    return DamagedLogError(f"the time of job {job} in {phase} is not what was written; see `sparehand log verify`")
