"""What the assistant says comes back into its microphone: as a loudspeaker's it is never acted on."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

import numpy as np
import pytest

from conversation.noted import NotedSpeaker
from job.table import opening
from log.memory_store import MemoryEventStore
from sparehand.conversation.bench import Bench
from sparehand.conversation.self_echo import TOO_SOON, SelfEcho
from sparehand.conversation.session import JobSession
from sparehand.ground.clock import HandClock, start_of_run
from sparehand.job.situation import SITUATIONS
from sparehand.screens.dialogue import DialogueView
from sparehand.screens.job_view import Heard
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.recognising.heard import Heard as HeardPhrase
from sparehand.voice.recognising.pocketsphinx_engine import PocketsphinxRecogniser
from sparehand.voice.sound.blocks import BLOCK_SAMPLES
from sparehand.voice.sound.level import level_of
from sparehand.voice.sound.samples import SAMPLE_RATE, Phrase, SoundBlock
from sparehand.voice.speaking.recording_speaker import RecordingSpeaker
from sparehand.voice.speaking.synthesis import Synthesiser
from voice.sounds import tone

TABLE = load_phrases()
WORDS_OF_ITS_OWN = ("Spare hand. What size?", "Spare hand. Say again.")
BLOCK_SECONDS = BLOCK_SAMPLES / SAMPLE_RATE


class NotingView(DialogueView):
    """Keeps what was acted on."""

    def __init__(self) -> None:
        self.acted: list[str] = []

    def heard(self, heard: Heard) -> None:
        self.acted += [heard.text] if heard.accepted else []

    def listens(self, how: str) -> None:
        """Nothing to keep."""

    def answered(self, answer: object) -> None:
        """Nothing to keep."""

    def note(self, text: str) -> None:
        """Nothing to keep."""


class Room:
    """A loudspeaker beside the microphone: what sounds there is what is heard, and nothing else."""

    def __init__(self) -> None:
        self.clock: HandClock = start_of_run(datetime(2030, 1, 7, 8, tzinfo=UTC), "test")
        self._now = 0.0
        self.speaker = RecordingSpeaker(Synthesiser("gmw/en-us", timeout_seconds=60.0), lambda: self._now)

    def sound(self) -> Iterator[SoundBlock]:
        """Until a second after the last word."""
        noise = np.random.default_rng(3)
        while self._now < self.speaker.ends_at + 1.0:
            start = self._now
            self._now = start + BLOCK_SECONDS
            self.clock.advance(32)
            samples = self.speaker.sound_between(start, self._now) + noise.normal(0, 2e-3, BLOCK_SAMPLES)
            yield SoundBlock(samples.astype(np.float32), start, self.clock.now())

    def session(self) -> JobSession:
        """A job at which all that is said would count."""
        opened = opening()
        return JobSession.open(MemoryEventStore(), "a-job", opened, self.clock.now(), "bench 1")


def _heard_while_it_speaks(text: str, answer: str, ended: float, above_db: float = 0.0) -> bool:
    """Whether words that end then count, so far above an answer that leaks into the microphone until second 4."""
    return _judged(text, answer, ended, above_db).accepted


def _judged(text: str, answer: str, ended: float, above_db: float = 0.0) -> HeardPhrase:
    echo = SelfEcho()
    echo.say(answer)
    leak = tone(4.0) * np.float32(0.02)
    moment = start_of_run(datetime(2030, 1, 7, 8, tzinfo=UTC), "test").now()
    for number, samples in enumerate(leak.reshape(-1, BLOCK_SAMPLES)):
        echo.sounding(SoundBlock(samples, number * BLOCK_SECONDS, moment))
    phrase = Phrase(text, ended - 1.0, ended, ended, 0.9, moment)
    command, level_db = TABLE.command_for(text, SITUATIONS), level_of(leak).db + above_db
    return echo.rejected(HeardPhrase(phrase, command, accepted=True, level_db=level_db))


@pytest.mark.parametrize(
    ("text", "answer"),
    [
        ("no cancel", "I heard 21 millimetres. Yes confirm, or no cancel."),
        ("yes confirm", "I heard 21 millimetres. Yes confirm, or no cancel."),
        ("warning understood", "Warning. A hot exhaust burns. Say warning understood."),
        ("okay warning understood", "Warning. A hot exhaust burns. Say warning understood."),
        ("new part fitted please", "The mount must be new. Say new part fitted."),
        ("mark is found", "Find the mark again. Say mark is found."),
        ("check passed", "Is every wheel bolt at its final torque? Say check passed."),
    ],
)
def test_no_answer_that_decides_is_taken_from_its_own_words(text: str, answer: str) -> None:
    assert not _heard_while_it_speaks(text, answer, 2.0)
    assert not _heard_while_it_speaks(text, answer, 4.2)
    assert _heard_while_it_speaks(text, answer, 5.0), "after it has ended, they are a person's"


def test_an_answer_far_louder_than_what_leaks_of_its_own_voice_is_a_persons() -> None:
    warning = "Warning. A hot exhaust burns. Say warning understood."
    assert _heard_while_it_speaks("warning understood", warning, 2.0, above_db=15.0)
    assert not _heard_while_it_speaks("warning understood", warning, 2.0, above_db=8.0)
    assert not _heard_while_it_speaks("warning understood", warning, 1.2, above_db=15.0), "too soon to know its level"


def test_an_answer_given_too_soon_gets_a_tone_and_never_a_list_that_would_echo_again() -> None:
    too_soon = _judged("yes confirm", "I heard 21 millimetres. Yes confirm, or no cancel.", 4.2)
    assert (too_soon.near_miss, too_soon.reason) == (True, TOO_SOON)
    assert not _judged("yes confirm", "I heard 21 millimetres. Yes confirm, or no cancel.", 2.0).near_miss
    speaker = NotedSpeaker()
    bench = Bench(NotingView(), speaker, TABLE)
    room = Room()
    for _ in range(5):
        bench._react(room.session(), too_soon, room.clock.now())
    assert (speaker.tones, speaker.said) == (["not understood"] * 5, [])


def test_what_it_does_not_say_itself_cuts_in() -> None:
    assert _heard_while_it_speaks("no cancel", "Warning. A hot exhaust burns. Say warning understood.", 2.0)
    assert _heard_while_it_speaks("next step", "Say next once the step is done. Next step.", 2.0)


def _acted_on(*, deaf: bool) -> list[str]:
    room, view = Room(), NotingView()
    for words in WORDS_OF_ITS_OWN:
        room.speaker.say(words)
    bench = Bench(view, room.speaker, TABLE, Ears(PocketsphinxRecogniser(), TABLE, listen="call"), deaf)
    bench.run(room.session(), room.sound())
    room.speaker.close()
    return view.acted


@pytest.mark.parametrize("deaf", [True, False])
def test_only_ears_that_stay_open_act_on_the_assistants_own_words(deaf: bool) -> None:
    assert bool(_acted_on(deaf=deaf)) is not deaf
