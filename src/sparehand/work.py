"""Begin a job or go on with one: everything a conversation needs, put together and taken down again."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from rich.console import Console

from sparehand.bench import Bench, OpeningTalk
from sparehand.choices import listed, one_of
from sparehand.clock import Clock, LiveClock, start_of_run
from sparehand.errors import InputError
from sparehand.ids import new_job_id, new_run_id
from sparehand.incoming import Incoming, Keyboard, heard_and_typed
from sparehand.job.answer import Answer, Line, plain
from sparehand.job.answering.overview import standing, where
from sparehand.job.commands import RepeatStep
from sparehand.job.events import Corrosion, JobOpened, Support, Vehicle
from sparehand.job.opening import Opening, opening_answer
from sparehand.job.state import fold
from sparehand.listening import spoken_names
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.timesheet import job_times, timesheet
from sparehand.places import LOG_FILE, MODELS_FOLDER, data_folder
from sparehand.procedures.library import find_procedure, list_procedures
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.model import Procedure, Side
from sparehand.procedures.plan import plan_run
from sparehand.screens.job_view import JobView
from sparehand.session import JobSession
from sparehand.settings import Listening, Settings, load_settings, write_default
from sparehand.shop import shop_experience, shop_times
from sparehand.voice.ears import Ears
from sparehand.voice.engines import default_listening, open_recogniser
from sparehand.voice.microphone import MicrophoneSource
from sparehand.voice.phrase_file import load_phrases
from sparehand.voice.phrases import PhraseTable
from sparehand.voice.recogniser import EngineName
from sparehand.voice.sources import FileSource, SoundSource
from sparehand.voice.speaker import SilentSpeaker, Speaker


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


@dataclass(frozen=True)
class Hearing:
    """What to listen to, and how."""

    ears: str = "microphone"
    engine: str | None = None
    listen: str | None = None
    mute: bool = False
    page: str | None = None


@dataclass(frozen=True)
class Room:
    """A conversation's surroundings: what comes in, the bench that reacts, and the clock both go by."""

    bench: Bench
    incoming: Iterator[Incoming]
    clock: Clock
    view: JobView


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
    with _room(loaded.procedure, hearing, settings, folder) as room:
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
        experience = shop_experience(opened, shop_times(store))
        room.view.expects(experience)
        session = JobSession.open(store, job, opened, now, settings.bench, experience)
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
        with _room(opened.procedure, hearing, settings, folder) as room:
            now = room.clock.now()
            experience = shop_experience(opened, shop_times(store))
            room.view.expects(experience)
            session = JobSession.resume(store, id, now, settings.bench, experience)
            room.view.note(f"Job {id} goes on.")
            lines: tuple[Line, ...] = (*where(session.state), *standing(session.state))
            room.bench.say(Answer((plain("Back at the bench."), *lines), tone="heard"))
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


@contextmanager
def _room(procedure: Procedure, hearing: Hearing, settings: Settings, folder: Path) -> Iterator[Room]:
    """Ears, mouth and screen as asked for, closed again at the end."""
    with ExitStack() as closing:
        table = replace(load_phrases(spoken_names(procedure)), call_word=settings.call_word)
        view = _view(closing)
        speaker = _speaker(hearing, settings)
        closing.callback(speaker.close)
        keyboard = Keyboard(sys.stdin if hearing.ears == "keyboard" or sys.stdin.isatty() else None)
        if hearing.page is not None:
            from sparehand.page.server import with_page

            view = with_page(view, hearing.page, keyboard, closing)
        if hearing.ears == "keyboard":
            clock: Clock = LiveClock(new_run_id())
            view.listens("keyboard only")
            yield Room(Bench(view, speaker, table), keyboard.arriving(clock), clock, view)
            return
        ears = _ears(hearing, settings, table, folder, view)
        source = _source(hearing, settings, view)
        closing.callback(source.close)
        bench = Bench(view, speaker, table, ears, deaf_while_speaking=settings.output == "loudspeaker")
        yield Room(bench, heard_and_typed(source, keyboard), source.clock, view)


def _ears(hearing: Hearing, settings: Settings, table: PhraseTable, folder: Path, view: JobView) -> Ears:
    engine = one_of(hearing.engine, EngineName, "the engine") if hearing.engine else None
    recogniser = open_recogniser(engine, folder / MODELS_FOLDER)
    wanted = hearing.listen or settings.listening or default_listening(recogniser.engine)
    listen: Listening = one_of(wanted, Listening, "the way of listening")
    how = _LISTENING[listen].format(call_word=table.call_word)
    view.note(f"Listening: {recogniser.engine}, {how}")
    view.listens(how)
    return Ears(recogniser, table, listen=listen, sensitivity=settings.sensitivity)


_LISTENING = {
    "always": "always listening",
    "call": 'say "{call_word}" first',
    "key": "press a key to be heard",
}


def _source(hearing: Hearing, settings: Settings, view: JobView) -> SoundSource:
    if hearing.ears == "microphone":
        return MicrophoneSource(settings.input_device, LiveClock(new_run_id()), view.note)
    return FileSource(Path(hearing.ears), start_of_run(datetime.now(UTC).astimezone(), new_run_id()))


def _speaker(hearing: Hearing, settings: Settings) -> Speaker:
    if hearing.mute or hearing.ears not in ("microphone", "keyboard"):
        return SilentSpeaker()
    from sparehand.voice.device_speaker import DeviceSpeaker
    from sparehand.voice.synthesis import Synthesiser

    return DeviceSpeaker(
        Synthesiser(settings.voice, settings.words_per_minute, settings.volume), settings.output_device
    )


def _view(closing: ExitStack) -> JobView:
    """The glance screen on a terminal, plain lines elsewhere."""
    from sparehand.screens.dialogue import DialogueView
    from sparehand.screens.glance_screen import GlanceScreen, can_glance

    console = Console()
    view: JobView = GlanceScreen(console) if can_glance(console) else DialogueView(console)
    closing.callback(view.close)
    return view


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
