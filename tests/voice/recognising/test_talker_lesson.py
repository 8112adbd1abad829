"""A voice of an accent that the model does not know is heard better once it was learned."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from sparehand.job.situation import SITUATIONS
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.recognising.talker_lesson import TalkerLesson
from sparehand.voice.recognising.talker_profile import TalkerProfile, learned
from sparehand.voice.recognising.vosk_engine import VoskRecogniser
from sparehand.voice.speaking.synthesis import Synthesiser
from voice.recognising.test_vosk_engine import model, said

ACCENT = "gmw/en-029"


@pytest.fixture(scope="module")
def paces() -> Iterator[tuple[Synthesiser, ...]]:
    made = tuple(Synthesiser(ACCENT, pace, timeout_seconds=60.0) for pace in (140, 165))
    yield made
    for each in made:
        each.close()


def test_what_two_takes_teach_makes_the_phrase_surer(tmp_path: Path, paces: tuple[Synthesiser, ...]) -> None:
    table, folder = load_phrases(), model()
    lesson = TalkerLesson(folder, tmp_path, table)
    takes = [
        (phrase, lesson.readings(phrase, said(voice, phrase).samples))
        for voice in paces
        for phrase in ("mark done", "skip this step", "next step")
    ]
    profile = learned(takes, lesson.sounds)
    assert {"step", "done"} <= profile.heard_as.keys()
    assert not lesson.readings("start the timer", said(paces[0], "mark done").samples), "that was not said"
    recogniser = VoskRecogniser(folder, tmp_path)

    def confidence(talker: TalkerProfile | None) -> float:
        recogniser.attune(talker)
        recogniser.prepare(table)
        heard = recogniser.recognise(said(paces[0], "mark done"), SITUATIONS, call_word=False)
        return heard.confidence if heard.text == "mark done" else 0.0

    assert confidence(profile) > confidence(None)
