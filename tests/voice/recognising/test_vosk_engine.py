"""Vosk with the strict graph: phrases are heard with times and confidence, talk and unknown words are not."""

from __future__ import annotations

import os
from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

import needs
from sparehand.ground.clock import start_of_run
from sparehand.ground.errors import InputError
from sparehand.ground.places import data_folder
from sparehand.job.situation import SITUATIONS
from sparehand.voice.models.model_store import add_model, installed_model
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.phrases.phrase_table import PhraseTable, SpokenNames
from sparehand.voice.recognising.vosk_engine import VoskRecogniser
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, Utterance
from sparehand.voice.speaking.speech import Speech
from sparehand.voice.speaking.synthesis import Synthesiser

MOMENT = start_of_run(datetime(2024, 1, 1, tzinfo=UTC), "test").moment


def model() -> Path:
    named = os.environ.get("SPAREHAND_TEST_MODELS")
    models = Path(named) if named else data_folder() / "models"
    folder = installed_model("english", models)
    needs.skip_unless(folder is not None, f"no English Vosk model in {models}")
    assert folder is not None
    return folder


@pytest.fixture(scope="module")
def recogniser(tmp_path_factory: pytest.TempPathFactory) -> VoskRecogniser:
    made = VoskRecogniser(model(), tmp_path_factory.mktemp("grammars"))
    made.prepare(load_phrases())
    return made


@pytest.fixture(scope="module")
def voice() -> Iterator[Synthesiser]:
    synthesiser = Synthesiser("gmw/en-us+m3", 150, timeout_seconds=60.0)
    yield synthesiser
    synthesiser.close()


def said(voice: Synthesiser, text: str, start: float = 0.0) -> Utterance:
    speech = voice.synthesise(text)
    assert isinstance(speech, Speech)
    quiet: Samples = np.zeros(SAMPLE_RATE // 3, np.float32)
    samples = np.concatenate([quiet, speech.samples * 0.5, quiet])
    end = start + len(samples) / SAMPLE_RATE
    return Utterance(samples, start, end, end, 1.0, 1.0, 0.4, MOMENT)


@pytest.mark.parametrize(
    "text", ["next step", "what size", "repeat torque", "hold for parts", "torque reading four six decimal five"]
)
def test_phrases_are_heard_surely(recogniser: VoskRecogniser, voice: Synthesiser, text: str) -> None:
    heard = recogniser.recognise(said(voice, text), SITUATIONS, call_word=False)
    assert heard.text == text
    assert heard.confidence > 0.7
    assert [word.text for word in heard.words] == text.split()


def test_times_are_those_of_the_stream_however_often_it_listened(
    recogniser: VoskRecogniser, voice: Synthesiser
) -> None:
    for start in (100.0, 200.0):
        utterance = said(voice, "what is loose", start)
        words = recogniser.recognise(utterance, SITUATIONS, call_word=False).words
        assert utterance.start + 0.2 < words[0].start < words[-1].end < utterance.end


@pytest.mark.parametrize("text", ["the weather was fine on sunday", "we had three of them in here last week"])
def test_talk_is_no_phrase(recogniser: VoskRecogniser, voice: Synthesiser, text: str) -> None:
    assert recogniser.recognise(said(voice, text), SITUATIONS, call_word=False).text == ""


def test_silence_is_no_phrase(recogniser: VoskRecogniser) -> None:
    quiet = Utterance(np.zeros(SAMPLE_RATE, np.float32), 0.0, 1.0, 1.0, 0.0, 1.0, 1.0, MOMENT)
    assert recogniser.recognise(quiet, SITUATIONS, call_word=False).text == ""


def test_with_the_call_word_only_what_follows_it_counts(recogniser: VoskRecogniser, voice: Synthesiser) -> None:
    called = recogniser.recognise(said(voice, "spare hand. what size"), SITUATIONS, call_word=True)
    assert (called.text, called.called) == ("what size", True)
    plain = recogniser.recognise(said(voice, "what size"), SITUATIONS, call_word=True)
    assert (plain.text, plain.called) == ("", False)


def test_a_phrase_of_another_situation_does_not_count(recogniser: VoskRecogniser, voice: Synthesiser) -> None:
    assert recogniser.recognise(said(voice, "yes confirm"), ["working"], call_word=False).text == ""
    assert recogniser.recognise(said(voice, "yes confirm"), ["question"], call_word=False).text == "yes confirm"


def test_a_word_outside_the_fixed_vocabulary_is_refused_with_near_ones(tmp_path: Path) -> None:
    fresh = VoskRecogniser(model(), tmp_path)
    assert fresh.unknown_words(["bolt", "calliper"])["calliper"][0] == "caliper"
    table: PhraseTable = replace(load_phrases(), names=SpokenNames({"the calliper": "calliper"}, {}))
    with pytest.raises(InputError, match=r"does not know the word 'calliper'.*caliper"):
        fresh.prepare(table)
    assert list(tmp_path.iterdir()) == []


def test_the_grammar_is_kept_for_the_same_phrases(tmp_path: Path) -> None:
    table = load_phrases()
    VoskRecogniser(model(), tmp_path).prepare(table)
    (kept,) = tmp_path.iterdir()
    made_at = (kept / "graph/Gr.fst").stat().st_mtime_ns
    VoskRecogniser(model(), tmp_path).prepare(table)
    assert [path.name for path in tmp_path.iterdir()] == [kept.name]
    assert (kept / "graph/Gr.fst").stat().st_mtime_ns == made_at


def test_a_half_copied_model_is_named_with_the_way_out(tmp_path: Path) -> None:
    folder = add_model("english", model(), tmp_path)
    (folder / "am/final.mdl").write_bytes(b"half")
    with pytest.raises(InputError, match=r"am/final\.mdl has 4 of .* bytes; install it again"):
        VoskRecogniser(folder, tmp_path / "grammars")
