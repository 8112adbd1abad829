"""The surroundings of a conversation, put together as asked for: ears, mouth, screen, and what is typed."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import TextIO, cast

from sparehand.at_work.desk_server import page_maker
from sparehand.at_work.steady_stream import SteadyStream
from sparehand.at_work.suspension import suspendable
from sparehand.conversation.bench import Bench
from sparehand.conversation.input_stream import Incoming, Keyboard, sound_and_typing
from sparehand.conversation.keys import can_read_keys, keys_of
from sparehand.conversation.note_recording import NoteTaker
from sparehand.ground.choices import one_of
from sparehand.ground.clock import Clock, LiveClock, start_of_run
from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.ids import new_run_id
from sparehand.ground.places import MODELS_FOLDER
from sparehand.ground.terminal import new_console, unfiltered
from sparehand.log.memos import MEMOS_FOLDER, MemoFolder
from sparehand.procedures.library import others_for_vehicle
from sparehand.procedures.model import Procedure
from sparehand.procedures.shop_wrenches import ShopWrench
from sparehand.screens.job_view import JobView
from sparehand.settings import Listening, Settings
from sparehand.setup.hearing_trials import phrase_table, spoken_names
from sparehand.shop.talker_file import read_talkers
from sparehand.shop.wrench_list import load_wrenches
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.recognising.engines import default_listening, open_recogniser
from sparehand.voice.recognising.recogniser import EngineName, Recogniser
from sparehand.voice.recognising.talker_profile import TalkerProfile
from sparehand.voice.sound.microphone import MicrophoneSource
from sparehand.voice.sound.quiet_libraries import quiet_libraries
from sparehand.voice.sound.sound_library import LIBRARY, portaudio_is_there
from sparehand.voice.sound.sources import FileSource, SoundSource
from sparehand.voice.speaking.speaker import SilentSpeaker, Speaker

_LISTENING = {
    "always": "always listening",
    "call": 'say "{call_word}" first',
    "key": "press a key to be heard",
}


@dataclass(frozen=True)
class ListeningOptions:
    """What to listen to, and how."""

    ears: str | None = None
    engine: str | None = None
    listen: str | None = None
    mute: bool = False
    page: str | None = None
    phrases: Path | None = None
    trouble: str = ""

    def on(self, settings: Settings) -> ListeningOptions:
        """The same with ears: those of the settings where none are asked for, and the keyboard for a lost microphone.

        That only where somebody can type; `trouble` says what is missing then.
        """
        chosen = replace(self, ears=self.ears or settings.ears)
        if chosen.ears != "microphone" or not sys.stdin.isatty():
            return chosen
        try:
            with quiet_libraries():
                LIBRARY.rate("input", settings.input_device)
        except FailureError as error:
            return replace(chosen, ears="keyboard", trouble=f"{error}")
        return chosen

    @property
    def live(self) -> bool:
        """Whether somebody is there to hear, and no file."""
        return self.ears in ("microphone", "keyboard")


@dataclass(frozen=True)
class Surroundings:
    """A conversation's surroundings: what comes in, the bench that reacts, and the clock both go by."""

    bench: Bench
    incoming: Iterator[Incoming]
    clock: Clock
    view: JobView
    table_of: Callable[[Procedure], PhraseTable] | None = None
    wrenches: tuple[ShopWrench, ...] = ()

    def turn_to(self, procedure: Procedure) -> None:
        """Listen for what another procedure brings, from now on."""
        if self.table_of is not None:
            self.bench.learn(self.table_of(procedure))


@contextmanager
def surroundings_for(
    procedure: Procedure,
    options: ListeningOptions,
    settings: Settings,
    folder: Path,
    people: Mapping[str, str] | None = None,
    crew: Sequence[str] = (),
) -> Iterator[Surroundings]:
    """Ears, mouth and screen as asked for, closed again at the end; `people` are the technicians by spoken name.

    Who works alone, a `crew` of one, is heard by what was learned of their voice.
    """
    wrenches, memos = load_wrenches(folder), MemoFolder(folder / MEMOS_FOLDER)

    def table_of(wanted: Procedure) -> PhraseTable:
        others = tuple(one.procedure for one in others_for_vehicle(wanted, folder))
        return phrase_table(settings, folder, options.phrases, spoken_names(wanted, people, wrenches, others))

    with ExitStack() as closing:
        table = table_of(procedure)
        if options.live:
            closing.enter_context(quiet_libraries())
        keyboard = _keyboard(options, settings, closing)
        view, asks_picture = _view(keyboard.report, closing), _no_page
        closing.enter_context(suspendable(sys.stdin, view.close))
        speaker = _speaker(options, settings)
        closing.callback(speaker.close)
        if options.page is not None:
            from sparehand.page.server import with_page

            view = paged = with_page(view, options.page, keyboard, closing, memos, page_maker(folder, beside_bay=True))
            asks_picture = paged.asks_picture
        notes = NoteTaker(memos, settings.memo_seconds)
        if options.trouble:
            view.note(f"{options.trouble[:1].upper()}{options.trouble[1:]}. Going on by keyboard: type each phrase.")
        if options.ears == "keyboard":
            clock: Clock = LiveClock(new_run_id())
            bench = Bench(
                view,
                speaker,
                table,
                idle_minutes=settings.idle_reminder_minutes,
                notes=notes,
                asks_picture=asks_picture,
            )
            yield Surroundings(bench, keyboard.arriving(clock), clock, view, table_of, wrenches)
            return
        recogniser = open_recogniser(_engine(options), folder / MODELS_FOLDER)
        if damage := attune(recogniser, crew, folder):
            view.note(damage)
        listen = _listen(options, settings, recogniser)
        how = _LISTENING[listen].format(call_word=table.call_word)
        view.note(f"Listening: {recogniser.engine}, {how}")
        require_unlike(people or {})
        ears = Ears(recogniser, table, listen=listen, sensitivity=settings.sensitivity, after_quiet=not options.live)
        source = _source(options, settings, keyboard.report)
        closing.callback(source.close)
        bench = Bench(
            view,
            speaker,
            table,
            ears,
            deaf_while_speaking=settings.output == "loudspeaker",
            listening=how,
            idle_minutes=settings.idle_reminder_minutes,
            notes=notes,
            asks_picture=asks_picture,
        )
        yield Surroundings(bench, sound_and_typing(source, keyboard), source.clock, view, table_of, wrenches)


def _no_page() -> bool:
    """Nobody can be asked for a picture."""
    return False


def attune(recogniser: Recogniser, crew: Sequence[str], folder: Path) -> str:
    """Hear who works alone by what was learned of their voice; gives what is damaged of that, which stops no work."""
    try:
        learned = read_talkers(folder).get(crew[0]) if len(crew) == 1 else None
        if learned:
            recogniser.attune(TalkerProfile.read(learned))
    except InputError as error:
        return f"You are heard as anybody is: {error}"
    return ""


def require_unlike(people: Mapping[str, str]) -> None:
    """Raise InputError for two technicians who are called by names that sound alike."""
    if not people:
        return
    from sparehand.voice.phrases.soundalike import names_alike

    for one, other in names_alike(people):
        raise InputError(
            f"'{one}' and '{other}' sound alike; call {people[other]} otherwise, such as '{people[other]}: the boss'"
        )


def _keyboard(options: ListeningOptions, settings: Settings, closing: ExitStack) -> Keyboard:
    """Keys one by one beside a microphone, whole lines otherwise; none where nobody types."""
    by_keyboard = options.ears == "keyboard"
    if by_keyboard or not can_read_keys(sys.stdin):
        return Keyboard(sys.stdin if by_keyboard or sys.stdin.isatty() else None)
    keyboard = Keyboard(None)
    closing.enter_context(keys_of(sys.stdin, keyboard.press, keyboard.report, settings.listen_key))
    return keyboard


def _engine(options: ListeningOptions) -> EngineName | None:
    return one_of(options.engine, EngineName, "the engine") if options.engine else None


def _listen(options: ListeningOptions, settings: Settings, recogniser: Recogniser) -> Listening:
    wanted = options.listen or settings.listening or default_listening(recogniser.engine)
    listen: Listening = one_of(wanted, Listening, "the way of listening")
    return listen


def _source(options: ListeningOptions, settings: Settings, notice: Callable[[str], None]) -> SoundSource:
    if options.ears == "microphone":
        return MicrophoneSource(settings.input_device, LiveClock(new_run_id()), notice)
    return FileSource(Path(options.ears or ""), start_of_run(datetime.now(UTC).astimezone(), new_run_id()))


def _speaker(options: ListeningOptions, settings: Settings) -> Speaker:
    if options.mute or not options.live or (options.trouble and not portaudio_is_there()):
        return SilentSpeaker()
    from sparehand.voice.speaking.device_speaker import DeviceSpeaker
    from sparehand.voice.speaking.synthesis import Synthesiser

    return DeviceSpeaker(Synthesiser.of(settings), settings.output_device, settings.volume)


def _view(tell: Callable[[str], None], closing: ExitStack) -> JobView:
    """The glance screen on a terminal, plain lines elsewhere; `tell` is told where they cannot be written."""
    from sparehand.screens.dialogue import DialogueView
    from sparehand.screens.glance_screen import GlanceScreen, can_glance

    console = new_console(cast(TextIO, SteadyStream(unfiltered(sys.stdout), tell)))
    view: JobView = GlanceScreen(console) if can_glance(console) else DialogueView(console)
    closing.callback(view.close)
    return view
