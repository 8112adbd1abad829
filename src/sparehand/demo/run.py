"""The demonstration: a whole job on real sound, and what it leaves behind."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

from rich.console import Console

from sparehand.at_work.start_job import conduct
from sparehand.at_work.surroundings import Surroundings
from sparehand.conversation.bench import Bench
from sparehand.conversation.input_stream import Incoming, TypedLine, sound_and_typing
from sparehand.demo.demo_view import DemoView
from sparehand.demo.mix import ConversationFile
from sparehand.demo.script import IDENTIFICATION, JOB, ODOMETER, OPENING, PROCEDURE, TECHNICIAN, VEHICLE
from sparehand.demo.technician import HearingCount, ScriptedTechnician
from sparehand.demo.technician_voice import TechnicianVoice
from sparehand.desk.cards import write_card
from sparehand.desk.hours import print_timesheet
from sparehand.desk.quoting import QuoteOptions, print_quote
from sparehand.ground.clock import start_of_run
from sparehand.ground.errors import FailureError
from sparehand.ground.ids import new_run_id
from sparehand.ground.places import LOG_FILE, MODELS_FOLDER, bundled, data_folder
from sparehand.ground.terminal import new_console
from sparehand.job.events import Vehicle
from sparehand.job.job_opening import Opening
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.times_csv import import_times
from sparehand.procedures.library import find_procedure
from sparehand.settings import Settings
from sparehand.setup.hearing_trials import spoken_names
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.recognising.engines import open_recogniser
from sparehand.voice.sound.samples import SoundBlock
from sparehand.voice.speaking.natural_voice import NATURAL, natural_voice_is_installed
from sparehand.voice.speaking.recording_speaker import RecordingSpeaker
from sparehand.voice.speaking.synthesis import Synthesiser

ASSISTANT_VOICE = NATURAL.id if natural_voice_is_installed() else "gmw/en"
SEED = 20261
"""Of the noise: the demo is the same every time."""


def run_demo(to: Path, noise_db: float, data: Path | None) -> None:
    """Play the whole job, then show the timesheet and write card, quote and conversation into `to`.

    Raises FailureError where the folder cannot be written, or the job did not come to its end.
    """
    _make(to)
    folder = data_folder(data or to / "data")
    console = new_console()
    store = SqliteEventStore(folder / LOG_FILE)
    import_times(bundled("procedures") / f"{PROCEDURE}.times.csv", store)
    job, tally = _play(folder, store, to / "conversation.wav", noise_db, console)
    store.close()
    console.rule("The job")
    print_timesheet(job, as_json=False, data=folder)
    write_card(job, to / "job-card.html", folder)
    print_quote(QuoteOptions(PROCEDURE, sides="right"), as_json=False, report=to / "labour-report.html", data=folder)
    console.print(f"Conversation: {to / 'conversation.wav'}")
    console.print(
        f"Heard rightly {tally.right}, wrongly {tally.wrong}, not at all {tally.missed}; typed instead {tally.typed}."
    )
    console.print(f"Next: sparehand work {PROCEDURE} --ears keyboard")


def _make(to: Path) -> None:
    try:
        to.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FailureError(f"{to}: no folder can be made there ({error.strerror}); name another by --to") from error


def _play(
    folder: Path, store: SqliteEventStore, wav: Path, noise_db: float, console: Console
) -> tuple[str, HearingCount]:
    loaded = find_procedure(PROCEDURE, folder)
    table = load_phrases(spoken_names(loaded.procedure))
    recogniser = open_recogniser("pocketsphinx", folder / MODELS_FOLDER)
    ears = Ears(recogniser, table, listen="call")
    clock = start_of_run(datetime.now(UTC).astimezone(), new_run_id())
    synthesiser = Synthesiser(ASSISTANT_VOICE, timeout_seconds=30.0)
    view = DemoView(console, sound_seconds=_length(OPENING + JOB))
    technician: ScriptedTechnician
    speaker = RecordingSpeaker(synthesiser, lambda: technician.stream_seconds)
    technician = ScriptedTechnician(
        TechnicianVoice(), clock, table, noise_db, SEED, lambda: speaker.speaking, view.note, view.said
    )
    view.noticed = technician.heard
    technician.follow(OPENING + JOB, lambda: view.latest)
    view.note(f'Listening: pocketsphinx, "{table.call_word}" first; {noise_db:g} dB over shop noise')
    with ConversationFile(wav, speaker) as conversation:
        incoming = _kept(sound_and_typing(technician, technician), conversation, view)
        surroundings = Surroundings(Bench(view, speaker, table, ears), incoming, clock, view)
        vehicle = Vehicle(
            name=VEHICLE, identification=IDENTIFICATION, odometer=ODOMETER, corrosion="light", support="stands"
        )
        session = conduct(loaded, Opening(loaded.procedure), (TECHNICIAN,), vehicle, Settings(), store, surroundings)
    view.close()
    speaker.close()
    technician.close()
    if session is None or session.state.progress.closed is None:
        raise FailureError("the demo's job did not come to its end; run it again with --noise-db 30")
    return session.state.job, technician.tally


def _kept(incoming: Iterator[Incoming], conversation: ConversationFile, view: DemoView) -> Iterator[Incoming]:
    """Everything that comes in, with the sound of it kept in the conversation."""
    for item in incoming:
        yield item
        if isinstance(item, SoundBlock):
            conversation.add(item)
            view.sound(item.end_seconds)
        elif isinstance(item, TypedLine):
            view.note(f"(typed: {item.text})")


def _length(script: tuple[object, ...]) -> float:
    """About how many seconds of sound a script makes."""
    return 9.5 * len(script)
