"""What this shop knows from its earlier jobs: their times, and what to expect of the next."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from sparehand.errors import InputError
from sparehand.job.events import JobOpened
from sparehand.job.experience import Experience
from sparehand.job.state import fold
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.times import JobTimes
from sparehand.log.timesheet import job_times, timesheet
from sparehand.procedures.model import Procedure


def shop_times(store: SqliteEventStore) -> tuple[JobTimes, ...]:
    """The times of every closed job of the log, and the imported ones."""
    unkept = (fold(store.events(id)) for id in store.closed_without_times())
    return (*store.imported_times(), *store.kept_times(), *(job_times(state, timesheet(state)) for state in unkept))


def other_procedures(jobs: Sequence[JobTimes], besides: str, folder: Path) -> tuple[Procedure, ...]:
    """The other procedures that `jobs` were of, whose plans tell how this shop's plans miss.

    One whose file is gone or not sound has no plan to tell, and is left out: it is not the one that was asked about.
    """
    from sparehand.procedures.library import find_procedure

    found: list[Procedure] = []
    for name in sorted({job.procedure for job in jobs} - {besides}):
        try:
            found.append(find_procedure(name, folder).procedure)
        except InputError:
            continue
    return tuple(found)


def shop_experience(opened: JobOpened, jobs: tuple[JobTimes, ...]) -> Experience:
    """What to expect of each phase and of the rest of a job that begins, from the shop's times and the plan."""
    from sparehand.labour.expected import expect
    from sparehand.labour.quote import QuoteRequest

    request = QuoteRequest(
        procedure=opened.procedure.id,
        operations=opened.operations,
        sides=opened.sides,
        technician=opened.technician,
        corrosion=opened.vehicle.corrosion,
        support=opened.vehicle.support,
    )
    expected = expect(request, opened.procedure, jobs)
    return replace(expected.experience, outlook=expected.outlook)
