"""What other procedures for the same vehicle may add to a job: their files, their hours, their times and lessons."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from uuid import UUID

from sparehand.job.events import JobOpened
from sparehand.job.experience import Experience, Offer
from sparehand.job.job_lessons import Lesson, in_use
from sparehand.job.state import JobState
from sparehand.labour.fitting.belief import QuoteInputs
from sparehand.labour.forecasting.expected import Expected, expect_from_belief
from sparehand.log.sqlite import SqliteEventStore
from sparehand.procedures.joining import Joined
from sparehand.procedures.library import others_for_vehicle
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.phase_key import joined_id, joined_key, parted_id
from sparehand.procedures.plan import StepKey
from sparehand.shop.earlier_jobs import request_of, shop_experience
from sparehand.shop.shop_belief import quote_inputs


def with_offers(
    experience: Experience,
    opened: JobOpened,
    store: SqliteEventStore,
    joined: Iterable[Joined] = (),
    lessons: tuple[Lesson, ...] = (),
    pictures: Callable[[LoadedProcedure], Mapping[str, UUID]] = lambda _loaded: {},
) -> Experience:
    """The experience with that of the procedures that joined the job, and of those that may still join it.

    `pictures` keeps what the steps of a file show, and gives its names.
    """
    there = tuple(joined)
    known = {one.procedure.id for one in there}
    loaded = others_for_vehicle(opened.procedure, store.path.parent)
    new = (one for one in loaded if one.procedure.id not in known)
    offers = tuple(Offer(one.procedure, one.sha256, pictures(one)) for one in new)
    both = (*there, *(_as_joined(one, opened) for one in offers))
    return replace(_with_all(experience, both, opened, store, lessons), offers=offers)


def experience_now(state: JobState, inputs: QuoteInputs, store: SqliteEventStore) -> Experience:
    """What to expect of a job as it stands, with what joined it."""
    own = tuple(one for one in state.plan.operations if not parted_id(one)[0])
    update = {"operations": own or state.opened.operations, "vehicle": state.vehicle}
    opened = state.opened.model_copy(update=update)
    return _with_all(shop_experience(opened, inputs), state.progress.joined, opened, store)


def _with_all(
    experience: Experience,
    joined: Iterable[Joined],
    opened: JobOpened,
    store: SqliteEventStore,
    lessons: tuple[Lesson, ...] = (),
) -> Experience:
    for each in joined:
        experience = _with(experience, each, _expected(each, opened, store), lessons)
    return experience


def _as_joined(offer: Offer, opened: JobOpened) -> Joined:
    """The offer as it joins where nobody names a side."""
    sides = tuple(side for side in opened.sides if side in offer.procedure.sides)
    return Joined(offer.procedure, sides or offer.procedure.sides)


def _expected(joined: Joined, opened: JobOpened, store: SqliteEventStore) -> Expected:
    procedure = joined.procedure
    inputs = quote_inputs(store, procedure, procedure.id, store.path.parent)
    update = {"procedure": procedure.id, "operations": (), "sides": joined.sides}
    request = request_of(opened).model_copy(update=update)
    return expect_from_belief(request, procedure, inputs.own, inputs.belief, inputs.plans)


def _with(experience: Experience, joined: Joined, expected: Expected, lessons: tuple[Lesson, ...]) -> Experience:
    """With the ids that it has in the run. The part of the times that all phases share is that of the job's own."""
    id = joined.procedure.id
    phases = (replace(one, key=joined_key(id, one.key)) for one in expected.experience.phases)
    foreseen = (replace(one, key=joined_key(id, one.key)) for one in expected.outlook.phases)
    outlook = experience.outlook
    return replace(
        experience,
        phases=(*experience.phases, *phases),
        outlook=outlook and replace(outlook, phases=(*outlook.phases, *foreseen)),
        added=(*experience.added, *(replace(one, operation=joined_id(id, one.operation)) for one in expected.alone)),
        lessons=(*experience.lessons, *(_in_the_run(one) for one in in_use(lessons, id))),
    )


def _in_the_run(lesson: Lesson) -> Lesson:
    at = StepKey(joined_key(lesson.procedure, lesson.note.at.at), lesson.note.at.step)
    return replace(lesson, note=replace(lesson.note, at=at))
