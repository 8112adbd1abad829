"""Spoken numbers recognised back: what the assistant says in noise can be written down again.

The full tables, against other wordings and in more noises, come from tests/bench/speaking.py.
"""

from __future__ import annotations

from collections.abc import Callable

import pytest

from bench.speaking import WORDINGS, in_noise, pocketsphinx_writer
from sparehand.voice.speaking.natural_voice import SYSTEM_VOICE, default_voice
from sparehand.voice.speaking.speech import Speech
from sparehand.voice.speaking.synthesis import Synthesiser

HeardBack = Callable[[float], int]
VALUES = (25, 47, 88, 110, 135, 150, 206, 240)


@pytest.fixture(scope="module", params=[default_voice(), SYSTEM_VOICE])
def heard_back(request: pytest.FixtureRequest) -> HeardBack:
    """Gives how many of the values, said digit by digit with gaps, are written down rightly under pink noise."""
    wording = WORDINGS[0]
    write = pocketsphinx_writer(wording)
    synthesiser = Synthesiser(request.param, timeout_seconds=30.0)
    results = [synthesiser.synthesise(wording.sentence(value)) for value in VALUES]
    synthesiser.close()
    spoken = [speech for speech in results if isinstance(speech, Speech)]

    def count(level_db: float) -> int:
        sounds = [in_noise(speech.samples, "pink", level_db, seed) for seed, speech in enumerate(spoken)]
        return sum(write(sound) == wording.say(value) for sound, value in zip(sounds, VALUES, strict=True))

    return count


@pytest.mark.parametrize(("level_db", "at_least"), [(20.0, 7), (10.0, 6)])
def test_digits_are_understood_in_shop_noise(heard_back: HeardBack, level_db: float, at_least: int) -> None:
    assert heard_back(level_db) >= at_least
