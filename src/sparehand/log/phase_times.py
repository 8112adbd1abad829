"""Phase times as they are kept for estimates: of this bench's closed jobs, and of jobs imported."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from itertools import chain
from operator import attrgetter
from typing import Any, Literal, cast

from sqlalchemy import ColumnElement, Connection, Select, and_, bindparam, delete, false, or_, select, true, update

from sparehand.log import tally_tables
from sparehand.log.job_rows import rows_of
from sparehand.log.packed_jobs import PackedJob, kept_job, packed, row_of, seal_of, with_people
from sparehand.log.people import People
from sparehand.log.store import DamagedLogError
from sparehand.log.tables import JOB_TIMES, JOBS
from sparehand.times.job_times import JobTimes, KeptJob, joined_job
from sparehand.times.what_counts import CLICKED_THROUGH, judged, plan_text

_T = JOB_TIMES.c
PACKED = tuple(_T[name] for name in PackedJob._fields)
"""The columns of a packed job."""
_PLACES = ", ".join("?" * len(_T))
_READ_AT_ONCE = 500
_ROW = (*PACKED, _T.rework, _T.left_out, _T.seal)


def keep(connection: Connection, times: JobTimes) -> None:
    """Keep the times of a closed job of this bench, and of what joined it, in place of what was kept of it before."""
    before = connection.execute(select(_T.procedure, _T.left_out).where(_of(times.job)).order_by(_T.job)).all()
    connection.execute(delete(JOB_TIMES).where(_of(times.job)))
    decided = before[0].left_out if before else None
    kept = [each for each in (times, *times.joined) if rows_of(each)]
    for each in kept:
        left_out = each.left_out if decided in (None, CLICKED_THROUGH) else decided
        job = packed(rows_of(each), People(connection).id_of)
        put_jobs(connection, [row_of(job, rework=each.rework, imported=False, left_out=left_out)])
    moved = {row.procedure for row in before}
    tally_tables.set_aside(connection, moved - {each.procedure for each in kept})
    for counted in _kept(connection, _jobs(None).where(_of(times.job))):
        tally_tables.count_job(connection, counted.as_job_times(), jobs_of(connection), again=bool(moved))


def put_jobs(
    connection: Connection, rows: Iterable[Sequence[object]], known: Literal["ABORT", "IGNORE"] = "ABORT"
) -> int:
    """Put rows of jobs (`row_of`) in, straight by the driver, for there may be very many; gives how many went in.

    `known` says what becomes of one whose job is there already.
    """
    driver = cast(sqlite3.Connection, connection.connection.driver_connection)
    return driver.executemany(f"INSERT OR {known} INTO job_times VALUES ({_PLACES})", rows).rowcount


def _of(job: str) -> ColumnElement[bool]:
    """The rows of a job of this bench and of what joined it."""
    joined = _T.job.startswith(joined_job(job, ""), autoescape=True)
    return or_(_T.job == job, and_(joined, _T.imported == false()))


def decide(connection: Connection, job: str, left_out: str) -> None:
    """Leave the times of a job out for a reason, or ("") let them count, whatever was decided before."""
    procedures = set(connection.scalars(select(_T.procedure).where(_of(job))))
    connection.execute(update(JOB_TIMES).where(_of(job)).values(left_out=left_out))
    tally_tables.set_aside(connection, procedures)


def judge(connection: Connection, procedure: str, planned: Mapping[str, float]) -> None:
    """Judge the imported jobs of a procedure by its plan, unless that was done; what a person decided stays."""
    if not tally_tables.newly_judged(connection, procedure, plan_text(planned)):
        return
    undecided = or_(_T.left_out.is_(None), _T.left_out == CLICKED_THROUGH)
    rows = connection.execute(_jobs(procedure).add_columns(_T.place).where(_T.imported == true(), undecided))
    changed = []
    for *row, place in chain.from_iterable(rows.partitions(_READ_AT_ONCE)):
        with suppress(DamagedLogError):  # told to whoever reads the times
            times = _job(row)
            if (reason := judged(times, planned)) != times.left_out:
                changed.append({"at": place, "reason": reason})
    if changed:
        anew = update(JOB_TIMES).where(_T.place == bindparam("at")).values(left_out=bindparam("reason"))
        connection.execute(anew, changed)
        tally_tables.set_aside(connection, [procedure])


def drop(connection: Connection, job: str) -> None:
    """Keep no times of a job of this bench any more."""
    moved = set(connection.scalars(select(_T.procedure).where(_of(job))))
    connection.execute(delete(JOB_TIMES).where(_of(job)))
    tally_tables.set_aside(connection, moved)


def jobs_of(connection: Connection) -> tally_tables.JobsOf:
    """What gives all jobs of a procedure that count, this bench's and imported ones, their technicians by id.

    They come in the order of their opening, some hundreds at a time, so that very many fill no memory.
    """

    def jobs(procedure: str) -> Iterator[KeptJob]:
        for some in connection.execute(_in_order(procedure)).partitions(_READ_AT_ONCE):
            yield from map(_job, some)

    return jobs


def latest(connection: Connection, procedure: str, count: int) -> tuple[JobTimes, ...]:
    """The times of the procedure's latest jobs that count, so many at most, the oldest first."""
    ordered = _in_order(procedure).order_by(None).order_by(_T.opened.desc(), _T.job.desc())
    return _read(connection, ordered.limit(count))


def _in_order(procedure: str) -> Select[Any]:
    """The jobs of a procedure that count, in the order of their opening."""
    counting = or_(_T.imported == false(), _T.job.not_in(select(JOBS.c.job)))
    return _jobs(procedure).where(counting).order_by(_T.opened, _T.job)


def of_this_bench(connection: Connection, procedure: str | None = None) -> tuple[JobTimes, ...]:
    """The times of this bench's closed jobs, the oldest first; of one procedure if it is named."""
    return _read(connection, _jobs(procedure).where(_T.imported == false()))


def of_job(connection: Connection, job: str) -> JobTimes | None:
    """The times kept of one job of this bench, if there are any."""
    return next(iter(_read(connection, _jobs(None).where(_T.imported == false(), _T.job == job))), None)


def imported(connection: Connection, procedure: str | None = None) -> tuple[JobTimes, ...]:
    """The times of jobs that were imported and are not jobs of this bench, the oldest first."""
    here = select(JOBS.c.job)
    return _read(connection, _jobs(procedure).where(_T.imported == true(), _T.job.not_in(here)))


def closed_without_times(connection: Connection) -> tuple[str, ...]:
    """The closed jobs of this bench whose times are not kept, as after a kill between closing and keeping."""
    with_times = select(_T.job).where(_T.imported == false())
    query = select(JOBS.c.job).where(JOBS.c.closed_batch.is_not(None), JOBS.c.job.not_in(with_times))
    return tuple(connection.scalars(query.order_by(JOBS.c.opened_at)))


def require_sealed(job: PackedJob | Sequence[str], seal: object) -> None:
    """Raise DamagedLogError for a kept job that is not what was written."""
    try:
        whole = seal_of(job) == seal
    except TypeError:  # a value that is no text any more
        whole = False
    if not whole:
        raise DamagedLogError(f"the times of job {job[0]} are not what was written; see `sparehand log verify`")


def _jobs(procedure: str | None) -> Select[Any]:
    return select(*_ROW) if procedure is None else select(*_ROW).where(_T.procedure == procedure)


def _read(connection: Connection, query: Select[Any]) -> tuple[JobTimes, ...]:
    """The jobs of a query, technicians by their names."""
    return tuple(kept.as_job_times() for kept in _kept(connection, query, People(connection).name_of))


def _kept(connection: Connection, query: Select[Any], called: Callable[[str], str] = str) -> list[KeptJob]:
    """The jobs of a query, the oldest first; `called` gives what to call technicians by, their ids if not said."""
    jobs = [_job(row, called) for row in connection.execute(query).all()]
    return sorted(jobs, key=attrgetter("opened_at", "job"))


def _job(row: Sequence[Any], called: Callable[[str], str] = str) -> KeptJob:
    """The job of a row. Its seal says that it is what was written, which was checked then."""
    job, (rework, left_out, seal) = row[:-3], row[-3:]
    require_sealed(job, seal)
    named = job if called is str else PackedJob._make(job)._replace(phases=with_people(job[-2], called))
    return kept_job(named, rework, left_out)
