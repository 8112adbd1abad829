"""What this shop knows from its earlier jobs: their times, and what to expect of the next."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from sparehand.ground.errors import InputError
from sparehand.job.events import JobOpened
from sparehand.job.experience import Experience
from sparehand.job.job_lessons import Lesson, in_use, lessons
from sparehand.job.state import fold
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import DamagedLogError
from sparehand.log.timesheet import job_times, timesheet
from sparehand.procedures.model import Procedure
from sparehand.procedures.shop_wrenches import ShopWrench
from sparehand.sharing.read_shop_copy import shop_copy_notes, shop_copy_times
from sparehand.times.job_times import JobTimes

if TYPE_CHECKING:
    from sparehand.labour.fitting.belief import QuoteInputs
    from sparehand.labour.forecasting.quote_records import QuoteRequest


def shop_times(store: SqliteEventStore, procedure: str | None = None) -> tuple[JobTimes, ...]:
    """The times of every closed job of the log, the imported ones, and those fetched from the shop's other benches.

    Of one procedure if it is named.
    """
    unkept = (fold(store.events(id)) for id in store.times.closed_without_times())
    imported = store.times.imported(procedure)
    here = {times.job for times in imported}
    fetched = (times for times in shop_copy_times(store.path.parent, procedure) if times.job not in here)
    told = (job_times(state, timesheet(state)) for state in unkept)
    each = (one for times in told for one in (times, *times.joined))
    own = (*store.times.of_this_bench(procedure), *(times for times in each if procedure in (None, times.procedure)))
    return (*fetched, *imported, *own)


def other_procedures(names: Iterable[str], besides: str, folder: Path) -> tuple[Procedure, ...]:
    """The procedures of those names but `besides`, whose plans tell how this shop's plans miss.

    One whose file is gone or not sound has no plan to tell, and is left out: it is not the one that was asked about.
    """
    from sparehand.procedures.library import find_procedure

    found: list[Procedure] = []
    for name in sorted(set(names) - {besides}):
        try:
            found.append(find_procedure(name, folder).procedure)
        except InputError:
            continue
    return tuple(found)


def shop_lessons(store: SqliteEventStore) -> tuple[Lesson, ...]:
    """The lessons of every job, the other benches' too as they were last fetched.

    Damage to an old job keeps nobody from working: `sparehand log verify` reports it.
    """
    from sparehand.log.stored_notes import stored_lessons

    fetched = tuple(lesson for history in shop_copy_notes(store.path.parent) for lesson in lessons(history))
    try:
        return (*fetched, *stored_lessons(store))
    except DamagedLogError:
        return fetched


def request_of(opened: JobOpened) -> QuoteRequest:
    """The question of what a job that was opened may take."""
    from sparehand.labour.forecasting.quote_records import QuoteRequest

    return QuoteRequest(
        procedure=opened.procedure.id,
        operations=opened.operations,
        sides=opened.sides,
        technician=opened.technician,
        corrosion=opened.vehicle.corrosion,
        support=opened.vehicle.support,
    )


def shop_experience(
    opened: JobOpened,
    inputs: QuoteInputs | None = None,
    lessons: tuple[Lesson, ...] = (),
    wrenches: tuple[ShopWrench, ...] = (),
) -> Experience:
    """What to expect of each phase and of the rest of a job that begins.

    It comes from the shop's times and belief (None: there are none) and the plan, the lessons for its steps, and the
    wrenches that there are.
    """
    from sparehand.labour.fitting.belief import inputs_of
    from sparehand.labour.forecasting.expected import expect_from_belief

    inputs = inputs or inputs_of(opened.procedure.id, (), (opened.procedure,))
    expected = expect_from_belief(request_of(opened), opened.procedure, inputs.own, inputs.belief, inputs.plans)
    return replace(
        expected.experience,
        outlook=expected.outlook,
        lessons=in_use(lessons, opened.procedure.id),
        wrenches=wrenches,
    )
