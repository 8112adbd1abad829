from collections.abc import Iterator
from datetime import UTC, datetime
from itertools import combinations, islice
from pathlib import Path

import numpy as np
import pytest
import soundfile

from sparehand.demo.noise import active_level, at_level, shop_noise
from sparehand.ground.clock import start_of_run
from sparehand.ground.errors import InputError
from sparehand.job.situation import SITUATIONS, Situation
from sparehand.voice.hear_file import hear_file
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.phrases.phrase_table import Pattern, PhraseTable, SpokenNames
from sparehand.voice.recognising.pocketsphinx_engine import GRAMMARS_KEPT, PocketsphinxRecogniser
from sparehand.voice.recognising.recogniser import Recognition
from sparehand.voice.recognising.rejection import Listening
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, Utterance
from sparehand.voice.speaking.speech import Speech
from sparehand.voice.speaking.synthesis import Synthesiser

NAMES = SpokenNames({"lower joint": "lower-joint"}, {"remove wheel": "remove-wheel"})


@pytest.fixture(scope="module")
def recogniser() -> PocketsphinxRecogniser:
    engine = PocketsphinxRecogniser()
    engine.prepare(load_phrases(NAMES))
    return engine


@pytest.fixture(scope="module")
def voice() -> Iterator[Synthesiser]:
    synthesiser = Synthesiser("gmw/en-us+m3", 150, timeout_seconds=60.0)
    yield synthesiser
    synthesiser.close()


def _said(voice: Synthesiser, *texts: str) -> Samples:
    """The texts with quiet between, in pink noise 20 dB below."""
    quiet = np.zeros(SAMPLE_RATE, np.float32)
    pieces = [quiet]
    for text in texts:
        speech = voice.synthesise(text)
        assert isinstance(speech, Speech)
        pieces += [speech.samples * (0.08 / active_level(speech.samples)), quiet, quiet[: SAMPLE_RATE // 4]]
    sound = np.concatenate(pieces)
    return sound + at_level(sound, shop_noise("pink", len(sound) / SAMPLE_RATE, seed=5), 20.0)


def _utterance(samples: Samples) -> Utterance:
    moment = start_of_run(datetime(2030, 1, 7, 8, tzinfo=UTC), "test").now()
    return Utterance(samples, 5.0, 6.0, 6.4, 0.8, 2.0, 0.7, moment)


def _recognised(
    recogniser: PocketsphinxRecogniser, samples: Samples, situation: Situation, *, call_word: bool = False
) -> Recognition:
    return recogniser.recognise(_utterance(samples), [situation], call_word=call_word)


@pytest.mark.parametrize(
    ("text", "situation"),
    [("say again", "working"), ("repeat torque", "working"), ("back to work", "hold"), ("yes confirm", "question")],
)
def test_a_phrase_of_the_situation_is_recognised(
    recogniser: PocketsphinxRecogniser, voice: Synthesiser, text: str, situation: Situation
) -> None:
    heard = _recognised(recogniser, _said(voice, text), situation)
    assert heard.text == text
    assert heard.confidence >= 0.7
    assert [word.text for word in heard.words] == text.split()
    assert all(5.9 < word.start < word.end < 8.5 for word in heard.words)


def test_a_job_of_many_situations_keeps_few_grammars_and_hears_on(
    recogniser: PocketsphinxRecogniser, voice: Synthesiser
) -> None:
    again = _said(voice, "say again")
    heard = [_recognised(recogniser, again, "working").text]
    for situations in islice(combinations(sorted({*SITUATIONS} - {"working", "reading"}), 2), 2 * GRAMMARS_KEPT):
        recogniser.recognise(_utterance(again[: SAMPLE_RATE // 10]), ["working", *situations], call_word=False)
        assert len(recogniser.grammars) <= GRAMMARS_KEPT
    assert len(recogniser.grammars) == GRAMMARS_KEPT
    heard.append(_recognised(recogniser, again, "working").text)
    assert heard == ["say again", "say again"]


def test_what_follows_the_call_word_counts(recogniser: PocketsphinxRecogniser, voice: Synthesiser) -> None:
    heard = _recognised(recogniser, _said(voice, "spare hand, say again"), "working", call_word=True)
    assert (heard.text, heard.called) == ("say again", True)


def test_without_the_call_word_nothing_is_called(recogniser: PocketsphinxRecogniser, voice: Synthesiser) -> None:
    assert not _recognised(recogniser, _said(voice, "say again"), "working", call_word=True).called


def test_the_call_word_alone_is_noticed(recogniser: PocketsphinxRecogniser, voice: Synthesiser) -> None:
    heard = _recognised(recogniser, _said(voice, "spare hand"), "working", call_word=True)
    assert (heard.text, heard.called) == ("", True)


def test_silence_is_no_phrase(recogniser: PocketsphinxRecogniser) -> None:
    assert _recognised(recogniser, np.zeros(SAMPLE_RATE, np.float32), "working").text == ""


def test_a_word_without_pronunciation_is_refused_with_near_ones() -> None:
    pattern = Pattern("check the calipper", "Next", "moves on", frozenset({"working"}))
    with pytest.raises(InputError, match=r"no pronunciation of 'calipper'.*caliper"):
        PocketsphinxRecogniser().prepare(PhraseTable((pattern,), "spare hand"))


def test_a_pronunciation_of_the_file_makes_a_word_known() -> None:
    pattern = Pattern("check the calipper", "Next", "moves on", frozenset({"working"}))
    table = PhraseTable((pattern,), "spare hand", pronunciations={"calipper": "K AE L AH P ER"})
    PocketsphinxRecogniser().prepare(table)


@pytest.mark.parametrize(("listen", "acted"), [("call", ["say_again"]), ("key", [])])
def test_a_file_is_heard_through_the_whole_chain(
    recogniser: PocketsphinxRecogniser, voice: Synthesiser, tmp_path: Path, listen: Listening, acted: list[str]
) -> None:
    file = tmp_path / "said.wav"
    soundfile.write(file, _said(voice, "give me a minute with this", "spare hand, say again"), SAMPLE_RATE)
    heard = list(hear_file(file, recogniser, listen, SITUATIONS, table=load_phrases(NAMES)))
    assert ["say_again" for one in heard if one.accepted] == acted


def test_a_file_without_speech_gives_nothing(recogniser: PocketsphinxRecogniser, tmp_path: Path) -> None:
    soundfile.write(tmp_path / "quiet.wav", np.zeros(3 * SAMPLE_RATE, np.float32), SAMPLE_RATE)
    assert list(hear_file(tmp_path / "quiet.wav", recogniser, "always")) == []
