"""Spoken numbers recognised back: what the assistant says in noise can be written down again.

The full tables, against other wordings and in more noises, come from tests/bench/speaking.py.
"""

import pytest

from bench.speaking import WORDINGS, in_noise, pocketsphinx_writer
from sparehand.voice.speaking.speech import Speech
from sparehand.voice.speaking.synthesis import Synthesiser, default_voice

VALUES = (25, 47, 88, 110, 135, 150, 206, 240)


@pytest.fixture(scope="module")
def heard_back():
    """Gives how many of the values, said digit by digit with gaps, are written down rightly under pink noise."""
    wording = WORDINGS[0]
    write = pocketsphinx_writer(wording)
    synthesiser = Synthesiser(default_voice(), timeout_seconds=30.0)
    spoken = [synthesiser.synthesise(wording.sentence(value)) for value in VALUES]
    synthesiser.close()
    assert all(isinstance(speech, Speech) for speech in spoken)

    def count(level_db):
        sounds = [in_noise(speech.samples, "pink", level_db, seed) for seed, speech in enumerate(spoken)]
        return sum(write(sound) == wording.say(value) for sound, value in zip(sounds, VALUES, strict=True))

    return count


@pytest.mark.parametrize(("level_db", "at_least"), [(20.0, 7), (10.0, 6)])
def test_digits_are_understood_in_shop_noise(heard_back, level_db, at_least):
    assert heard_back(level_db) >= at_least
