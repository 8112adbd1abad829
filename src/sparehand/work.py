"""Begin a job or go on with one."""

from __future__ import annotations

import sys
from dataclasses import dataclass
from pathlib import Path

from rich.console import Console

from sparehand.choices import listed, one_of
from sparehand.errors import InputError
from sparehand.ids import new_job_id
from sparehand.job.answer import Answer
from sparehand.job.answering.overview import back_at_the_bench
from sparehand.job.commands import RepeatStep
from sparehand.job.events import Corrosion, JobOpened, Support, Vehicle
from sparehand.job.opening import Opening, opening_answer
from sparehand.job.state import fold
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.timesheet import job_times, timesheet
from sparehand.places import LOG_FILE, data_folder
from sparehand.procedures.library import find_procedure, list_procedures
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.model import Procedure, Side
from sparehand.procedures.plan import plan_run
from sparehand.room import Hearing, Room, room_for
from sparehand.session import JobSession
from sparehand.settings import Settings, load_settings, write_default
from sparehand.shop import shop_experience, shop_lessons, shop_times
from sparehand.talk import OpeningTalk


@dataclass(frozen=True)
class Choice:
    """What was said on the command line about a new job, in its own words."""

    procedure: str
    operations: str = ""
    sides: str = ""
    technician: str | None = None
    vehicle: str = ""
    odometer: int | None = None
    corrosion: str = "none"
    support: str = "lift"


def begin(choice: Choice, hearing: Hearing, data: Path | None) -> None:
    """A new job. Raises InputError for a choice that does not fit the procedure."""
    folder = data_folder(data)
    write_default(folder)
    settings = load_settings(folder)
    loaded = find_procedure(choice.procedure, folder)
    opening = _opening(loaded.procedure, choice)
    vehicle = _vehicle(choice)
    technician = _technician(choice, settings)
    store = SqliteEventStore(folder / LOG_FILE)
    with room_for(loaded.procedure, hearing, settings, folder) as room:
        conduct(loaded, opening, technician, vehicle, settings, store, room)
        if hearing.ears not in ("microphone", "keyboard") and not room.bench.phrases_heard:
            raise InputError(f"{hearing.ears}: no speech was found in it; record nearer to the mouth, or louder")


def conduct(
    loaded: LoadedProcedure,
    opening: Opening,
    technician: str,
    vehicle: Vehicle,
    settings: Settings,
    store: SqliteEventStore,
    room: Room,
) -> JobSession | None:
    """A job from its opening until it is over or the sound ends; None where none was begun."""
    chosen = _chosen(opening, room)
    if not chosen.begun:
        room.view.note("No job was begun.")
        return None
    now = room.clock.now()
    job = new_job_id(now)
    with store.claim(job):
        opened = _opened(loaded, chosen, technician, vehicle, settings)
        experience = shop_experience(opened, shop_times(store), shop_lessons(store))
        room.view.expects(experience)
        session = JobSession.open(store, job, opened, now, settings.bench, experience)
        session.terse = settings.answer_length == "terse"
        room.view.note(f"Job {job} is open.")
        room.bench.say(session.respond(RepeatStep(), now))
        _carry_on(session, room, store)
    return session


def resume(job: str | None, hearing: Hearing, data: Path | None) -> None:
    """An open job again. Raises InputError where there is none, several and none named, or it is closed."""
    folder = data_folder(data)
    settings = load_settings(folder)
    store = SqliteEventStore(folder / LOG_FILE)
    id = store.find_job(job) if job else _only_open_job(store)
    with store.claim(id):
        opened = _still_open(store, id)
        with room_for(opened.procedure, hearing, settings, folder) as room:
            now = room.clock.now()
            experience = shop_experience(opened, shop_times(store), shop_lessons(store))
            room.view.expects(experience)
            session = JobSession.resume(store, id, now, settings.bench, experience)
            session.terse = settings.answer_length == "terse"
            room.view.note(f"Job {id} goes on.")
            room.bench.say(Answer(back_at_the_bench(session.state), tone="heard"))
            _carry_on(session, room, store)


def print_procedures(data: Path | None) -> None:
    """The procedures that can be worked by, with their operations."""
    console = Console()
    for loaded in list_procedures(data_folder(data)):
        procedure = loaded.procedure
        mark = " (demonstration data)" if procedure.demo else ""
        console.print(f"[bold]{procedure.id}[/]  {procedure.title}{mark}")
        for operation in procedure.operations:
            console.print(f"    {operation.id}  {operation.title}")
    console.print("Begin one with: sparehand work PROCEDURE")


def _opening(procedure: Procedure, choice: Choice) -> Opening:
    """What the command line chose; a procedure with one operation needs no choosing of it."""
    operations = listed(choice.operations)
    sides: tuple[Side, ...] = tuple(one_of(side, Side, "the side") for side in listed(choice.sides))
    if operations or sides:
        plan_run(procedure, operations, sides)
    if not operations and len(procedure.operations) == 1:
        operations = (procedure.operations[0].id,)
    if not sides and len(procedure.sides) == 1:
        sides = procedure.sides
    ready = bool(operations) and bool(sides or not procedure.sides)
    return Opening(procedure, operations, sides, begun=ready)


def _chosen(opening: Opening, room: Room) -> Opening:
    """The opening once everything is chosen, by voice where the command line did not say."""
    if opening.begun:
        return opening
    talk = OpeningTalk(opening)
    room.bench.say(opening_answer(opening))
    room.bench.run(talk, room.incoming)
    return talk.opening


def _carry_on(session: JobSession, room: Room, store: SqliteEventStore) -> None:
    """Work until the job is over, the sound ends, or somebody stops the bench; the job is safe in each case."""
    try:
        room.bench.run(session, room.incoming)
    except KeyboardInterrupt:
        room.view.note("Stopped.")
    session.stop(room.clock.now())
    job = session.state.job
    if session.state.progress.closed:
        store.keep_times(job_times(session.state, timesheet(session.state)))
        room.view.note(f"Closed. See: sparehand hours {job}, sparehand card {job}")
    else:
        room.view.note(f"Job {job} stays open. Go on with: sparehand resume {job}")


def _technician(choice: Choice, settings: Settings) -> str:
    given = choice.technician or settings.technician
    if given or not sys.stdin.isatty():
        return given or "technician"
    return Console().input("Technician: ").strip() or "technician"


def _vehicle(choice: Choice) -> Vehicle:
    name = choice.vehicle
    if not name and sys.stdin.isatty():
        name = Console().input("Vehicle: ").strip()
    corrosion: Corrosion = one_of(choice.corrosion, Corrosion, "the corrosion")
    support: Support = one_of(choice.support, Support, "the support")
    return Vehicle(name=name, odometer=choice.odometer, corrosion=corrosion, support=support)


def _opened(
    loaded: LoadedProcedure, chosen: Opening, technician: str, vehicle: Vehicle, settings: Settings
) -> JobOpened:
    return JobOpened(
        procedure=loaded.procedure,
        procedure_sha256=loaded.sha256,
        operations=chosen.operations,
        sides=chosen.sides,
        technician=technician,
        vehicle=vehicle,
        torque_unit=settings.torque_unit,
    )


def _only_open_job(store: SqliteEventStore) -> str:
    open_jobs = [header.id for header in store.jobs() if header.open]
    if not open_jobs:
        raise InputError("no job is open; begin one with `sparehand work`")
    if len(open_jobs) > 1:
        raise InputError(f"{len(open_jobs)} jobs are open: {', '.join(open_jobs)}; say which: sparehand resume JOB")
    return open_jobs[0]


def _still_open(store: SqliteEventStore, job: str) -> JobOpened:
    """How the job was opened. Raises InputError for a job that is closed."""
    state = fold(store.events(job))
    if state.progress.closed:
        raise InputError(f"job {job} is closed; see it with `sparehand hours {job}` or `sparehand card {job}`")
    return state.opened
