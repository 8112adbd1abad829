"""The phase times in a log, for the estimates: kept, read and added up, each in a transaction of its own."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from sqlalchemy import Engine

from sparehand.log import phase_times, tally_tables
from sparehand.log.connection import plain_errors, reading, writing
from sparehand.log.people import People
from sparehand.log.tally_tables import Tallies, TimesStatus, named_tallies
from sparehand.times.job_times import JobTimes


class TimeStore:
    """The phase times in the database behind `engine`, whose file is `path`.

    Raises FailureError where it cannot be read or written, DamagedLogError where a row is not what was written.
    """

    def __init__(self, engine: Engine, path: Path) -> None:
        self._engine = engine
        self._path = path

    def keep(self, times: JobTimes) -> None:
        """Keep the times of a closed job, in place of what was kept of it before."""
        with plain_errors(self._path), writing(self._engine) as connection:
            phase_times.keep(connection, times)

    def drop(self, job: str) -> None:
        """Keep no times of a closed job, so that its events alone give them until they are kept anew."""
        with plain_errors(self._path), writing(self._engine) as connection:
            phase_times.drop(connection, job)

    def decide(self, job: str, left_out: str) -> None:
        """Leave the times of a job out for a reason, or ("") let them count, and add up anew what changes by it."""
        with plain_errors(self._path), writing(self._engine) as connection:
            phase_times.decide(connection, job, left_out)
        self.recount()

    def judge(self, plans: Mapping[str, Mapping[str, float]]) -> None:
        """Judge imported jobs by plans, planned seconds by procedure and phase, unless that was done."""
        for procedure in self.status().judged_otherwise(plans):
            with plain_errors(self._path), writing(self._engine) as connection:
                phase_times.judge(connection, procedure, plans[procedure])

    def of_this_bench(self, procedure: str | None = None) -> tuple[JobTimes, ...]:
        """The times of this bench's closed jobs, the oldest first; of one procedure if it is named."""
        with plain_errors(self._path), reading(self._engine) as connection:
            return phase_times.of_this_bench(connection, procedure)

    def of_job(self, job: str) -> JobTimes | None:
        """The times kept of one job of this bench, if there are any."""
        with plain_errors(self._path), reading(self._engine) as connection:
            return phase_times.of_job(connection, job)

    def imported(self, procedure: str | None = None) -> tuple[JobTimes, ...]:
        """The times of imported jobs that are none of this bench's, the oldest first."""
        with plain_errors(self._path), reading(self._engine) as connection:
            return phase_times.imported(connection, procedure)

    def latest(self, procedure: str, count: int) -> tuple[JobTimes, ...]:
        """The times of the procedure's latest jobs that count, so many at most, the oldest first."""
        with plain_errors(self._path), reading(self._engine) as connection:
            return phase_times.latest(connection, procedure, count)

    def closed_without_times(self) -> tuple[str, ...]:
        """The closed jobs whose times are not kept yet, as after a kill between closing and keeping."""
        with plain_errors(self._path), reading(self._engine) as connection:
            return phase_times.closed_without_times(connection)

    def tallies(self, procedure: str | None = None) -> Tallies:
        """What the times of each procedure add up to, or of one, with the names of those who worked."""
        with plain_errors(self._path), reading(self._engine) as connection:
            jobs_of = phase_times.jobs_of(connection)
            return named_tallies(connection, jobs_of, People(connection).name_of, procedure)

    def status(self) -> TimesStatus:
        """The revision of the tallies and what they cover, without reading a phase time."""
        with plain_errors(self._path), reading(self._engine) as connection:
            return tally_tables.status(connection, People(connection).name_of)

    def recount(self) -> None:
        """Add up anew what times were put in without, as by an import that was stopped."""
        with plain_errors(self._path):
            waiting = True
            while waiting:
                with writing(self._engine) as connection:
                    waiting = tally_tables.recount(connection, phase_times.jobs_of(connection))
