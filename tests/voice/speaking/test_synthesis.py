"""Text to speech through the worker, and what happens when the worker does not play along."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import cast

import numpy as np
import pytest
import soundfile

from needs import skip_unless
from sparehand.ground.errors import FailureError, InputError
from sparehand.settings import Settings
from sparehand.voice.sound.samples import SAMPLE_RATE
from sparehand.voice.speaking.natural_voice import (
    NATURAL,
    SYSTEM_VOICE,
    default_voice,
    natural_voice_is_installed,
)
from sparehand.voice.speaking.pronounce import for_the_voice, sentences
from sparehand.voice.speaking.speech import NoSpeech, Speech
from sparehand.voice.speaking.spoken_file import speak_to_file
from sparehand.voice.speaking.synthesis import FAILURES_UNTIL_SILENT, STORED_TEXTS, Synthesiser
from sparehand.voice.speaking.synthesis_messages import SpeakRequest, WorkerReply
from sparehand.voice.speaking.synthesis_process import WORKER_COMMAND

PATIENT = 30.0

MakeWorker = Callable[..., Synthesiser]

RUN_WORKER = "from sparehand.voice.speaking.synthesis_worker import main; main()"


@pytest.fixture(scope="module", params=[NATURAL.id, SYSTEM_VOICE])
def voice_id(request: pytest.FixtureRequest) -> str | None:
    natural = request.param == NATURAL.id
    skip_unless(not natural or natural_voice_is_installed(), "the natural voice's wheel is not installed")
    return cast(str | None, request.param)


@pytest.fixture(scope="module")
def voice(voice_id: str | None) -> Iterator[Synthesiser]:
    synthesiser = Synthesiser(voice_id, timeout_seconds=PATIENT)
    yield synthesiser
    synthesiser.close()


@pytest.fixture
def bad_worker(tmp_path: Path) -> Iterator[MakeWorker]:
    """Makes a synthesiser whose worker misbehaves, and counts how often one was started."""
    made: list[Synthesiser] = []

    def make(kind: str, timeout_seconds: float = PATIENT) -> Synthesiser:
        command = (sys.executable, str(Path(__file__).with_name("fake_worker.py")), kind, str(tmp_path / "starts"))
        made.append(Synthesiser(timeout_seconds=timeout_seconds, worker_command=command))
        return made[-1]

    yield make
    for synthesiser in made:
        synthesiser.close()


def starts(tmp_path: Path) -> int:
    return len((tmp_path / "starts").read_text())


def test_a_sentence_becomes_sound_at_the_rate_that_flows(voice: Synthesiser) -> None:
    spoken = voice.synthesise("one one zero newton metres")

    assert isinstance(spoken, Speech)
    assert spoken.samples.dtype == np.float32
    assert len(spoken.samples) == pytest.approx(spoken.seconds * SAMPLE_RATE, abs=1)
    assert 1.0 < spoken.seconds < 6.0
    assert 0.1 < np.abs(spoken.samples).max() <= 1.0


@pytest.mark.parametrize("text", ["Understood.", "Thirty eight steps left.", "Fit the wheel."])
def test_a_sentence_begins_without_a_silence_before_it(voice: Synthesiser, text: str) -> None:
    spoken = voice.synthesise(text)
    assert isinstance(spoken, Speech)
    audible = 10 ** (-50 / 20)
    assert np.flatnonzero(np.abs(spoken.native) > audible)[0] / spoken.rate < 0.08


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        ("Done. After this: Fit it.", ("Done.", "After this: Fit it.")),
        ("Is it firm? Yes confirm, or no cancel.", ("Is it firm?", "Yes confirm, or no cancel.")),
        ("no. 5 and so on", ("no. 5 and so on",)),
        ("one", ("one",)),
    ],
)
def test_an_answer_is_made_sentence_by_sentence(text: str, parts: tuple[str, ...]) -> None:
    assert sentences(text) == parts


def test_what_was_said_before_is_not_synthesised_again(voice: Synthesiser) -> None:
    first = voice.synthesise("the nut")

    assert voice.synthesise("the nut") is first


def test_the_store_stays_bounded(bad_worker: MakeWorker) -> None:
    synthesiser = bad_worker("works")
    oldest = synthesiser.synthesise("text")
    for number in range(STORED_TEXTS):
        synthesiser.synthesise(f"text {number}")

    assert synthesiser.synthesise("text") is not oldest


def test_speed_and_volume_are_obeyed_from_the_first_sentence_on(voice_id: str | None) -> None:
    results = {}
    for speed, volume in ((120, 1.0), (240, 1.0), (120, 0.25)):
        synthesiser = Synthesiser(voice_id, speed, volume, PATIENT)
        spoken = synthesiser.synthesise("where am i")
        synthesiser.close()
        assert isinstance(spoken, Speech)
        results[speed, volume] = spoken

    assert results[240, 1.0].seconds < 0.75 * results[120, 1.0].seconds
    assert np.abs(results[120, 0.25].native).max() < 0.4 * np.abs(results[120, 1.0].native).max()


@pytest.mark.parametrize("text", ["[[x]] <speak> & \\ ' \" 100%", "line\none\x00two", "Stück für Stück", "a" * 3000])
def test_any_text_is_spoken_and_the_next_one_after_it_too(voice: Synthesiser, text: str) -> None:
    assert isinstance(voice.synthesise(text), Speech)
    assert isinstance(voice.synthesise("go back"), Speech)


@pytest.mark.parametrize("text", ["", "  ", "\n\x00"])
def test_nothing_to_say_is_no_speech(voice: Synthesiser, text: str) -> None:
    assert isinstance(voice.synthesise(text), NoSpeech)


def test_a_voice_that_is_not_there_is_named_in_the_reason() -> None:
    synthesiser = Synthesiser("no-such-voice", timeout_seconds=PATIENT)
    spoken = synthesiser.synthesise("hello")
    synthesiser.close()

    assert isinstance(spoken, NoSpeech)
    assert "no-such-voice" in spoken.reason


def test_the_voices_of_the_machine_can_be_listed(voice: Synthesiser) -> None:
    assert default_voice() is None or default_voice() in {one.id for one in voice.voices()}


def test_the_natural_voice_is_made_ready_and_speaks_without_the_system_s_driver() -> None:
    skip_unless(natural_voice_is_installed(), "the natural voice's wheel is not installed")
    broken = "import sparehand.voice.speaking.synthesis_worker as worker; worker._start_engine = None; worker.main()"
    synthesiser = Synthesiser(NATURAL.id, timeout_seconds=PATIENT, worker_command=(sys.executable, "-c", broken))
    synthesiser.start()
    assert isinstance(synthesiser.synthesise("hello"), Speech)
    with pytest.raises(FailureError):
        synthesiser.voices()
    synthesiser.close()


def test_where_the_natural_voice_cannot_be_loaded_the_system_s_voice_speaks(tmp_path: Path) -> None:
    broken = tmp_path / "hibari"
    broken.mkdir()
    (broken / "__init__.py").write_text("raise ImportError('half a wheel')")
    command = (sys.executable, "-c", f"import sys; sys.path.insert(0, {str(tmp_path)!r}); {RUN_WORKER}")
    synthesiser = Synthesiser(NATURAL.id, timeout_seconds=PATIENT, worker_command=command)
    spoken = synthesiser.synthesise("hello")
    synthesiser.close()
    assert isinstance(spoken, Speech)


@pytest.mark.parametrize("kind", ["dies first", "hangs first"])
def test_a_worker_that_dies_or_hangs_is_replaced_and_the_text_spoken(
    bad_worker: MakeWorker, tmp_path: Path, kind: str
) -> None:
    synthesiser = bad_worker(kind, timeout_seconds=PATIENT if kind == "dies first" else 6.0)

    assert isinstance(synthesiser.synthesise("hello"), Speech)
    assert starts(tmp_path) == 2


def test_a_worker_that_never_answers_is_given_up_after_the_time_limit(bad_worker: MakeWorker) -> None:
    spoken = bad_worker("hangs", timeout_seconds=0.2).synthesise("hello")

    assert isinstance(spoken, NoSpeech)
    assert "does not answer" in spoken.reason


@pytest.mark.parametrize("reply", ["nonsense", "[]", "null", "{}", '{"error": 1, "voices": 2}'])
def test_a_worker_that_answers_nonsense_is_given_up(bad_worker: MakeWorker, reply: str) -> None:
    spoken = bad_worker(reply).synthesise("hello")

    assert isinstance(spoken, NoSpeech)
    assert "nonsense" in spoken.reason


def test_after_several_failures_no_worker_is_started_any_more(bad_worker: MakeWorker, tmp_path: Path) -> None:
    synthesiser = bad_worker("dies")
    for number in range(FAILURES_UNTIL_SILENT):
        assert isinstance(synthesiser.synthesise(f"text {number}"), NoSpeech)
    before = starts(tmp_path)

    spoken = synthesiser.synthesise("another")

    assert isinstance(spoken, NoSpeech)
    assert "stays off" in spoken.reason
    assert starts(tmp_path) == before


def test_a_program_that_is_not_there_is_no_speech_and_no_exception() -> None:
    synthesiser = Synthesiser(worker_command=("/no/such/program",))

    assert isinstance(synthesiser.synthesise("hello"), NoSpeech)
    with pytest.raises(FailureError, match="selfcheck"):
        synthesiser.voices()


def test_a_closed_synthesiser_leaves_no_file_behind(bad_worker: MakeWorker) -> None:
    synthesiser = bad_worker("works")
    synthesiser.synthesise("hello")
    assert synthesiser._process
    folder = synthesiser._process.folder

    synthesiser.close()

    assert not folder.exists()


@pytest.mark.skipif(sys.platform == "win32", reason="signals are those of POSIX")
@pytest.mark.parametrize("ended_by", ["its input", "a signal"])
def test_a_worker_that_ends_removes_its_files(tmp_path: Path, ended_by: str) -> None:
    folder = tmp_path / "private"
    folder.mkdir()
    worker = subprocess.Popen(
        [*WORKER_COMMAND, str(folder)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True, bufsize=1
    )
    assert worker.stdin
    assert worker.stdout
    worker.stdin.write(SpeakRequest("hello", str(folder / "speech.wav"), default_voice(), 160, 1.0).line())
    assert WorkerReply.read(worker.stdout.readline()) == WorkerReply()
    assert list(folder.iterdir())

    if ended_by == "a signal":
        worker.terminate()
    worker.communicate()

    assert not folder.exists()


def test_digits_that_follow_each_other_are_spoken_with_gaps_and_other_words_are_not() -> None:
    assert for_the_voice("Torque one one zero newton metres") == "Torque one, one, zero newton metres"
    assert for_the_voice("one hour twelve minutes, two bolts") == "one hour twelve minutes, two bolts"
    assert for_the_voice("zero decimal five") == "zero, decimal, five"


def test_a_text_becomes_a_wav_file(tmp_path: Path) -> None:
    seconds = speak_to_file("next step", tmp_path / "said.wav", Settings())

    assert soundfile.info(tmp_path / "said.wav").duration == pytest.approx(seconds)


def test_an_empty_text_and_a_folder_that_is_not_there_are_told_apart(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="nothing to say"):
        speak_to_file("  ", tmp_path / "said.wav", Settings())
    with pytest.raises(FailureError, match="--to"):
        speak_to_file("hello", tmp_path / "nowhere" / "said.wav", Settings())
