"""Begin a job or go on with one."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

from sparehand.at_work.expectations import expected_of
from sparehand.at_work.job_choice import (
    Choice,
    asked_at_terminal,
    chosen_by_voice,
    crew_of,
    opened,
    opening_of,
    vehicle_of,
)
from sparehand.at_work.open_jobs import job_to_resume, others_put_aside, state_of_open
from sparehand.at_work.procedure_pictures import kept_pictures
from sparehand.at_work.procedure_version import changed_since
from sparehand.at_work.several_jobs import SeveralJobs
from sparehand.at_work.surroundings import ListeningOptions, Surroundings, surroundings_for
from sparehand.conversation.session import JobSession
from sparehand.desk.first_job import FIRST_EVENTS, unwritten
from sparehand.desk.record_additions import order_events
from sparehand.desk.transcription import write_down
from sparehand.ground.clock import Moment
from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.ids import new_job_id
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.job.answer import Answer
from sparehand.job.commands import RepeatStep, TechnicianJoins, TechnicianSpeaks
from sparehand.job.events import Event, Vehicle
from sparehand.job.job_opening import Opening
from sparehand.log.memos import MemoFolder
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.timesheet import job_times, timesheet
from sparehand.procedures.library import find_procedure, origin_words
from sparehand.procedures.load import LoadedProcedure, set_aside_words
from sparehand.settings import Settings, load_settings, write_default
from sparehand.shop.shop_belief import believe_ahead
from sparehand.shop.technicians import read_technicians, spoken_technicians


@dataclass(frozen=True)
class Order:
    """What the customer's order says beside the work itself."""

    identification: str = ""
    complaint: str = ""
    rework_of: str | None = None
    practice: bool = False


def begin(choice: Choice, options: ListeningOptions, data: Path | None, order: Order | None = None) -> None:
    """A new job. Raises InputError for a choice that does not fit the procedure."""
    folder = data_folder(data)
    write_default(folder)
    settings = load_settings(folder)
    options = options.on(settings)
    loaded = find_procedure(choice.procedure, folder)
    opening = opening_of(loaded.procedure, choice)
    vehicle, order = _arrived(choice, order, settings)
    store = SqliteEventStore(folder / LOG_FILE)
    crew = crew_of(choice, settings, store)
    people = spoken_technicians((*read_technicians(settings.technicians or ""), *crew))
    known = order_events(order.complaint, order.rework_of, store, practice=order.practice)
    names = tuple(technician.name for technician in crew)
    around = surroundings_for(loaded.procedure, options, settings, folder, people, names)
    with store.claim_bench(), around as surroundings:
        if origin := origin_words(loaded, folder):
            surroundings.view.note(f"The procedure {loaded.procedure.id} is {origin}.")
        if aside := set_aside_words(loaded):
            surroundings.view.note(aside)
        conduct(loaded, opening, names, vehicle, settings, store, surroundings, known)
        if not options.live and not surroundings.bench.phrases_heard:
            raise InputError(f"{options.ears}: no speech was found in it; record nearer to the mouth, or louder")


def begin_first(
    name: str, choice: Choice, options: ListeningOptions, data: Path | None, order: Order | None = None
) -> None:
    """A job for which there is no procedure: it writes its own. Raises InputError for a name that cannot be one."""
    folder = data_folder(data)
    write_default(folder)
    settings = load_settings(folder)
    options = options.on(settings)
    vehicle, order = _arrived(choice, order, settings)
    loaded = unwritten(name, vehicle.name)
    opening = Opening(loaded.procedure, (loaded.procedure.id,), (), begun=True)
    store = SqliteEventStore(folder / LOG_FILE)
    crew = crew_of(choice, settings, store)
    people = spoken_technicians((*read_technicians(settings.technicians or ""), *crew))
    known = order_events(order.complaint, order.rework_of, store, practice=order.practice)
    names = tuple(technician.name for technician in crew)
    around = surroundings_for(loaded.procedure, options, settings, folder, people, names)
    with store.claim_bench(), around as surroundings:
        session = conduct(loaded, opening, names, vehicle, settings, store, surroundings, (*FIRST_EVENTS, *known))
        if session is not None:
            surroundings.view.note(f"The procedure it wrote: sparehand draft {session.state.job} --to FILE.yaml")


def _arrived(choice: Choice, order: Order | None, settings: Settings) -> tuple[Vehicle, Order]:
    """The vehicle and what the customer says, asked at the terminal where nobody gave them."""
    order = order or Order()
    vehicle = vehicle_of(choice, settings.distance_unit)
    plate = order.identification or asked_at_terminal("Number plate or vehicle number")
    complaint = order.complaint or asked_at_terminal("What the customer says")
    vehicle = Vehicle.model_validate({**vehicle.model_dump(), "identification": plate})
    return vehicle, replace(order, complaint=complaint)


def conduct(
    loaded: LoadedProcedure,
    opening: Opening,
    crew: tuple[str, ...],
    vehicle: Vehicle,
    settings: Settings,
    store: SqliteEventStore,
    surroundings: Surroundings,
    also: Sequence[Event] = (),
) -> JobSession | None:
    """A job from its opening until it is over or the sound ends; None where none was begun.

    What is recorded together with its opening is `also`.
    """
    chosen = chosen_by_voice(opening, surroundings)
    if not chosen.begun:
        surroundings.view.note("No job was begun.")
        return None
    now = surroundings.clock.now()
    job = new_job_id(now)
    with ExitStack() as claims:
        claims.enter_context(store.claim(job))
        with others_put_aside(store, job, crew, now, settings) as others:
            pictures = kept_pictures(loaded, MemoFolder.beside(store.path), surroundings.view.note)
            begun = opened(loaded, chosen, crew[0], vehicle, settings, pictures)
            experience = expected_of(begun, store, surroundings)
            session = JobSession.open(store, job, begun, now, settings.bench, experience, also)
        surroundings.view.expects(experience)
        _note_aside(others, surroundings)
        session.terse = settings.answer_length == "terse"
        for name in crew[1:]:
            session.respond(TechnicianJoins(name), now)
            session.respond(TechnicianSpeaks(crew[0]), now)
        surroundings.view.note(f"Job {job} is open.")
        surroundings.bench.say(session.respond(RepeatStep(), now))
        return _carry_on(session, surroundings, store, settings, claims)


def resume(job: str | None, options: ListeningOptions, data: Path | None) -> None:
    """An open job again. Raises InputError where there is none, several and nobody to ask, or it is closed."""
    folder = data_folder(data)
    settings = load_settings(folder)
    options = options.on(settings)
    store = SqliteEventStore(folder / LOG_FILE)
    id = store.find_job(job) if job else job_to_resume(store)
    with ExitStack() as claims:
        claims.enter_context(store.claim_bench())
        claims.enter_context(store.claim(id))
        state = state_of_open(store, id)
        crew = state.progress.crew.names
        people = spoken_technicians(read_technicians(settings.technicians or ""), crew)
        with surroundings_for(state.plan.procedure, options, settings, folder, people, crew) as surroundings:
            now = surroundings.clock.now()
            with others_put_aside(store, id, (state.progress.crew.acting,), now, settings) as others:
                session = _take_up(store, settings, surroundings, id, now)
            _introduce(session, store, surroundings)
            _note_aside(others, surroundings)
            surroundings.bench.say(session.come_back(now))
            _carry_on(session, surroundings, store, settings, claims)


def _carry_on(
    session: JobSession, surroundings: Surroundings, store: SqliteEventStore, settings: Settings, claims: ExitStack
) -> JobSession:
    """Work until the job is over, the sound ends, or somebody stops the bench; the jobs are safe in each case."""

    def turn_to(other: JobSession) -> None:
        surroundings.turn_to(other.state.plan.procedure)
        _introduce(other, store, surroundings)

    take_up = partial(_take_up, store, settings, surroundings)
    jobs = SeveralJobs(store, session, take_up, turn_to, claims, surroundings.turn_to)
    try:
        surroundings.bench.run(jobs, surroundings.incoming)
    except KeyboardInterrupt:
        surroundings.view.note("Stopped.")
    _leave(jobs.session, surroundings, store, settings)
    return jobs.session


def _leave(session: JobSession, surroundings: Surroundings, store: SqliteEventStore, settings: Settings) -> None:
    """The job left in good order: as closed with its times kept, or open with the way back."""
    try:
        session.stop(surroundings.clock.now())
    except FailureError as error:
        surroundings.view.note(f"Not recorded: {error}.")
    state = session.state
    if state.progress.closed:
        store.times.keep(job_times(state, timesheet(state)))
        surroundings.view.note(f"Closed. See: sparehand hours {state.job}, sparehand card {state.job}")
    else:
        surroundings.view.note(f"Job {state.job} stays open. Go on with: sparehand resume {state.job}")
    if write_down(store, state.job, state.progress.crew.acting, settings.bench, surroundings.clock.now()):
        surroundings.view.note("What was recorded is written down; the sound is beside it.")
    if state.progress.closed:
        believe_ahead(store, store.path.parent)


def _take_up(
    store: SqliteEventStore, settings: Settings, surroundings: Surroundings, job: str, now: Moment
) -> JobSession:
    """An open job on this bench again."""
    there = state_of_open(store, job)
    experience = expected_of(there.opened, store, surroundings, there.progress.joined)
    session = JobSession.resume(store, job, now, settings.bench, experience)
    session.terse = settings.answer_length == "terse"
    return session


def _introduce(session: JobSession, store: SqliteEventStore, surroundings: Surroundings) -> None:
    """Let the screen be about a job that was taken up."""
    surroundings.view.expects(session.experience)
    surroundings.view.note(f"Job {session.state.job} goes on.")
    if changed := changed_since(session.state.opened, store.path.parent):
        surroundings.bench.say(Answer(changed, tone="heard"))


def _note_aside(others: Sequence[str], surroundings: Surroundings) -> None:
    for other in others:
        surroundings.view.note(f"Job {other} is on hold for this one.")
