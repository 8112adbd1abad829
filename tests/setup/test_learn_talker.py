"""Learning a voice: every phrase is asked for twice, and what was learned is kept only where it helps."""

from __future__ import annotations

import stat
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sparehand.cli.command_line import main
from sparehand.ground.errors import InputError
from sparehand.ground.places import GRAMMARS_FOLDER, MODELS_FOLDER
from sparehand.job.situation import Situation
from sparehand.setup import learn_talker
from sparehand.setup.device_trials import Devices
from sparehand.setup.learn_talker import Said, hear_rounds, judged, told, utterances
from sparehand.shop.talker_file import TALKERS_FILE, read_talkers, write_talker
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.recognising import talker_lesson, vosk_engine
from sparehand.voice.recognising.near_words import Pronunciations
from sparehand.voice.recognising.recogniser import Recognition
from sparehand.voice.recognising.talker_lesson import LESSON
from sparehand.voice.recognising.talker_profile import Reading, TalkerProfile
from sparehand.voice.sound.samples import Samples, Utterance
from sparehand.voice.sound.sources import SoundSource
from voice.sounds import LoudIsSpeech, ScriptedRecogniser, Talked

TABLE = load_phrases()


class DawnForDone:
    """Hears which phrase of LESSON a sound stands for, and always "dawn" for "done"."""

    sounds = Pronunciations({"done": ("D", "AH", "N"), "dawn": ("D", "AO", "N")}, {"done": 1.0, "dawn": 2.0})

    def readings(self, phrase: str, samples: Samples) -> tuple[Reading, ...]:
        if phrase != LESSON[int(samples[0])]:
            return ()
        own, heard = tuple(phrase.split()), tuple(phrase.replace("done", "dawn").split())
        return (Reading(-9.0, heard), Reading(-11.0, own)) if heard != own else (Reading(-9.0, own),)


class Attuned(ScriptedRecogniser):
    """Hears by what it was told of the talker: `plain` and `learned` texts, by turns over and over."""

    def __init__(self, plain: Sequence[str], learned: Sequence[str]) -> None:
        super().__init__()
        self._texts = {False: plain, True: learned}
        self._known = False
        self._turn = 0

    def attune(self, talker: TalkerProfile | None) -> None:
        self._known, self._turn = talker is not None, 0

    def recognise(self, utterance: Utterance, situations: Collection[Situation], *, call_word: bool) -> Recognition:
        assert situations
        assert not call_word
        assert len(utterance.samples)
        texts = self._texts[self._known]
        self._turn += 1
        return Recognition(text := texts[(self._turn - 1) % len(texts)], confidence=0.9 if text else 0.0)


class Desk(Devices):
    def source(self, _name: str | None) -> SoundSource:
        return Talked(0.2, 0.8, 0.9, 1.5)


UTTERANCE = next(utterances(Talked(0.2, 0.8, 0.9, 1.5), LoudIsSpeech()))
DAWN = DawnForDone()


def says(*phrases: str) -> Iterator[Utterance]:
    return (replace(UTTERANCE, samples=np.full(9, LESSON.index(phrase), np.float32)) for phrase in phrases)


def rounds_of(*phrases: str) -> tuple[tuple[Said, ...], ...]:
    takes = tuple(
        Said(phrase, utterance, DAWN.readings(phrase, utterance.samples))
        for phrase, utterance in zip(phrases, says(*phrases), strict=True)
    )
    return takes, takes


def test_every_phrase_is_asked_for_twice_and_once_more_where_it_was_not_understood() -> None:
    shown: list[str] = []
    rounds = hear_rounds(LESSON, says(*LESSON[:2], "yes confirm", *LESSON[2:], *LESSON), DAWN, shown.append)
    assert [[said.phrase for said in takes] for takes in rounds] == [list(LESSON)] * 2
    assert shown[:5] == [
        '1.1  Say "next step".', '1.2  Say "mark done".', '1.3  Say "next phase".',
        'Not understood: "next phase". Once more.', '1.4  Say "go back".',
    ]  # fmt: skip


def test_a_phrase_that_a_recording_lacks_costs_none_of_the_others() -> None:
    rounds = hear_rounds(LESSON, says(*LESSON[:5], *LESSON[6:], *LESSON), DAWN, lambda _: None)
    assert [len(takes) for takes in rounds] == [19, 20]


def test_too_little_speech_teaches_nothing() -> None:
    with pytest.raises(InputError, match="too few phrases"):
        hear_rounds(LESSON, says(*LESSON, *LESSON[:4]), DAWN, lambda _: None)


def test_what_helps_is_kept() -> None:
    found = judged(rounds_of("mark done", "go back"), DAWN, Attuned(["", "go back"], ["mark done", "go back"]), TABLE)
    assert (found.without, found.with_it, found.of) == (2, 4, 4)
    assert found.profile == TalkerProfile(heard_as={"done": ("dawn",)}, vowels=(("AH", "AO"),))
    assert found.missed == ()


@pytest.mark.parametrize(
    ("plain", "learned"),
    [(["mark done", "go back"], ["mark done", "go back"]), (["", "go back"], ["mark done", "next step"])],
    ids=["no better", "something else is heard"],
)
def test_what_does_not_help_or_is_taken_wrongly_is_not_kept(plain: list[str], learned: list[str]) -> None:
    found = judged(rounds_of("mark done", "go back"), DAWN, Attuned(plain, learned), TABLE)
    assert found.profile is None


def test_nothing_stays_on_the_disk_of_what_does_not_help(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    model = tmp_path / MODELS_FOLDER / "english"
    grammars = model.parent / GRAMMARS_FOLDER
    grammars.mkdir(parents=True)

    class Writing(Attuned):
        def __init__(self, _model: Path, cache_folder: Path = grammars) -> None:
            super().__init__(["mark done", "go back"], ["mark done", "go back"])
            (cache_folder / "grammar of a round").write_text("dawn", "utf-8")

    monkeypatch.setattr(learn_talker, "installed_model", lambda *_: model)
    monkeypatch.setattr(learn_talker, "SileroActivity", LoudIsSpeech)
    monkeypatch.setattr(learn_talker, "hear_rounds", lambda *_: rounds_of("mark done", "go back"))
    monkeypatch.setattr(talker_lesson, "TalkerLesson", lambda *_: DAWN)
    monkeypatch.setattr(vosk_engine, "VoskRecogniser", Writing)
    shown: list[str] = []
    learn_talker.learn_talker("Ada Brook", None, tmp_path, Desk(tmp_path), shown.append)
    assert "So it does not help, and nothing is kept: you are heard as anybody is." in shown
    assert list(grammars.iterdir()) == []
    assert read_talkers(tmp_path) == {}


def test_for_what_is_missed_both_times_other_wordings_are_named() -> None:
    found = judged(rounds_of("mark done", "go back"), DAWN, Attuned(["", "go back"], ["", "go back"]), TABLE)
    lines = list(told(found, TABLE, "Ada Brook"))
    assert found.missed == ("mark done",)
    assert lines[1] == "So it does not help, and nothing is kept: you are heard as anybody is."
    assert lines[-1].startswith('"mark done" is not heard well; say "')


def test_a_profile_is_for_its_owner_and_goes_alone(tmp_path: Path) -> None:
    for name in ("Ada Brook", "Ben Field"):
        write_talker(tmp_path, name, {"heard_as": {"done": ["dawn"]}, "vowels": []})
    assert stat.S_IMODE((tmp_path / TALKERS_FILE).stat().st_mode) == 0o600
    write_talker(tmp_path, "Ada Brook", None)
    assert read_talkers(tmp_path).keys() == {"Ben Field"}
    (tmp_path / TALKERS_FILE).write_text("[", "utf-8")
    with pytest.raises(InputError, match="delete it"):
        read_talkers(tmp_path)


def test_without_the_recommended_recogniser_it_says_how_to_get_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with pytest.raises(SystemExit) as ended:
        main(["setup", "--learn", "Ada Brook", "--data", str(tmp_path)])
    assert ended.value.code == 2
    assert "sparehand models get english" in capsys.readouterr().err
