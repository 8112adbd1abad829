"""The loop: what the bench does by itself, apart from the job."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest

from conversation.noted import TABLE, NotedSpeaker, NotedView
from job.table import opening
from log.memory_store import MemoryEventStore
from sparehand.conversation.bench import Bench
from sparehand.conversation.input_stream import Incoming, KeyPress, TypedLine
from sparehand.conversation.keys import Press
from sparehand.conversation.session import JobSession
from sparehand.ground.clock import start_of_run
from sparehand.job.obligations import open_warning
from sparehand.voice.ears import Ears
from sparehand.voice.recognising.recogniser import Recognition
from sparehand.voice.recognising.rejection import Listening
from voice.sounds import LoudIsSpeech, ScriptedRecogniser, talk


class Shop:
    """A bench with a job on it, ears that hear what they are told, and a voice that is only noted."""

    def __init__(self, *script: Recognition | str, listen: Listening = "always") -> None:
        self.view, self.speaker = NotedView(), NotedSpeaker()
        self.recogniser = ScriptedRecogniser(*script)
        ears = Ears(self.recogniser, TABLE, listen=listen, activity=LoudIsSpeech())
        self.bench = Bench(self.view, self.speaker, TABLE, ears, listening="always listening")
        opened = opening()
        now = start_of_run(datetime(2030, 1, 7, 8, tzinfo=UTC), "test").now()
        self.store = MemoryEventStore()
        self.session = JobSession.open(self.store, "a-job", opened, now, "bench 1")

    def hear(self, *lengths: float, presses: dict[float, Press] | None = None) -> None:
        self.bench.run(self.session, self._incoming(lengths, dict(presses or {})))

    def type(self, *lines: str) -> None:
        clock = start_of_run(datetime(2030, 1, 7, 9, tzinfo=UTC), "test")
        self.bench.run(self.session, [TypedLine(line, clock.now()) for line in lines])

    def press_on_page(self, phrase: str) -> None:
        clock = start_of_run(datetime(2030, 1, 7, 9, tzinfo=UTC), "test")
        self.bench.run(self.session, [TypedLine(phrase, clock.now(), "page")])

    @staticmethod
    def _incoming(lengths: tuple[float, ...], presses: dict[float, Press]) -> Iterator[Incoming]:
        for block in talk(*lengths):
            for at in [at for at in presses if at <= block.start_seconds]:
                yield KeyPress(presses.pop(at), block.moment)
            yield block


ONE_PHRASE = (0.0, 1.28, 0.96, 2.0)
TWO_PHRASES = (0.0, 1.28, 0.96, 2.0, 0.96, 2.0)


def test_told_to_stop_listening_it_acts_on_nothing_until_the_call_word() -> None:
    shop = Shop("stop listening", Recognition(""), Recognition("", called=True), "where am i")
    shop.hear(*TWO_PHRASES)
    assert shop.recogniser.asked[1][1], "the call word is asked for"
    assert "not listening" in shop.view.signs[-1]
    shop.hear(*TWO_PHRASES)
    assert "Raise the vehicle" in shop.view.answers[-1]
    assert not shop.recogniser.asked[3][1]


def test_told_to_stop_listening_a_key_lets_it_hear_again() -> None:
    shop = Shop("stop listening", "what is loose", "where am i")
    shop.hear(*TWO_PHRASES, 0.96, 2.0, presses={5.0: Press("tapped")})
    assert "listening to you" in shop.view.signs
    assert shop.view.signs[-1] == "always listening"
    assert len(shop.view.answers) == 3


def test_a_held_key_takes_in_what_was_said_from_its_first_moment() -> None:
    shop = Shop("say again", listen="key")
    shop.hear(0.0, 1.28, 0.96, 2.0, presses={1.9: Press("held", 0.6), 2.6: Press("let go")})
    ((utterance, called),) = shop.recogniser.asked
    assert not called
    assert utterance.start == pytest.approx(1.28, abs=0.1)
    assert utterance.speech_seconds == pytest.approx(0.96, abs=0.1)


def test_its_own_words_are_no_command_and_a_person_s_after_them_are() -> None:
    shop = Shop("park the job", "no cancel", "no cancel")
    shop.speaker.talking = True
    shop.hear(*TWO_PHRASES)
    assert shop.view.answers[-1].endswith("Yes confirm, or no cancel."), "it did not answer its own question"
    shop.speaker.talking = False
    shop.hear(0.0, 10.0, 0.96, 2.0)
    assert shop.view.answers[-1] == "Left as it was."


def test_a_key_stops_speech_in_every_way_of_listening() -> None:
    for listen in ("always", "call", "key"):
        shop = Shop(listen=listen)
        shop.hear(0.0, 1.0, presses={0.5: Press("tapped")})
        assert shop.speaker.stops == 1


def test_with_the_voice_off_answers_are_shown_and_not_spoken() -> None:
    shop = Shop()
    shop.type("voice off", "what is loose", "speak again")
    assert len(shop.view.answers) == 3
    assert len(shop.speaker.said) == 2
    assert "loose" not in " ".join(shop.speaker.said)


def test_what_is_asked_next_is_made_ready_and_then_said_word_for_word() -> None:
    shop = Shop()
    shop.type("where am i")
    assert len(shop.speaker.ready) >= 3
    ready = shop.speaker.ready
    shop.type("what size")
    assert shop.speaker.said[-1] in ready


def test_why_nothing_sounds_is_told_once_and_the_job_goes_on() -> None:
    shop = Shop()
    shop.speaker.trouble = "the sound output has gone; plug it in again"
    shop.hear(0.0, 5.0)
    assert [note for note in shop.view.notes if "gone" in note] == [
        "No sound: the sound output has gone; plug it in again."
    ]


def test_a_warning_is_understood_by_page_only_after_it_was_read_out_and_is_recorded_so() -> None:
    shop = Shop()
    warning = open_warning(shop.session.state)
    assert warning
    shop.press_on_page("warning understood")
    assert open_warning(shop.session.state) == warning, "nothing was read yet"
    assert "not read out" in shop.view.answers[-1]
    shop.press_on_page("repeat")
    shop.speaker.talking = True
    shop.press_on_page("warning understood")
    assert open_warning(shop.session.state) == warning, "it was still being read"
    shop.speaker.talking = False
    shop.press_on_page("warning understood")
    assert open_warning(shop.session.state) == warning, "it was cut short"
    shop.press_on_page("repeat")
    shop.press_on_page("warning understood")
    assert open_warning(shop.session.state) == ""
    assert shop.store.events("a-job")[-1].by == "page"


def test_mark_done_by_page_has_the_same_rules_as_by_voice_and_is_recorded_so() -> None:
    shop = Shop()
    shop.press_on_page("mark done")
    assert "Warning." in shop.view.answers[-1]
    shop.type("warning understood")
    shop.press_on_page("mark done")
    assert [one.by for one in shop.store.events("a-job")][-2:] == [None, "page"]
