"""Sound-alikes are near in phones, never the same by sound, and never what another accent makes of the word."""

from __future__ import annotations

from pathlib import Path

import pytest

from sparehand.voice.recognising.near_words import Pronunciations, read_pronunciations

DICTIONARY = """\
size S AY Z
sides S AY D Z
sighs S AY Z
quiet K W AY AH T
quick K W IH K
torque T AO R K
talk T AO K
fork F AO R K
loose L UW S
lose L UW Z
red R EH D
hold HH OW L D
fold F OW L D
bold B OW L D
part P AA R T
parts P AA R T S
ports P AO R T S
the DH AH
they DH EY
"""


@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> Pronunciations:
    path: Path = tmp_path_factory.mktemp("words") / "words.dict"
    path.write_text(DICTIONARY, "utf-8")
    words = [line.split()[0] for line in DICTIONARY.splitlines()]
    return Pronunciations(read_pronunciations(path, words), dict.fromkeys(words, 5.0))


def test_a_word_with_one_more_sound_is_an_alike(known: Pronunciations) -> None:
    assert "sides" in known.alikes("size")


def test_a_longer_word_may_lie_further(known: Pronunciations) -> None:
    assert "quick" in known.alikes("quiet")


def test_a_word_that_sounds_the_same_is_none(known: Pronunciations) -> None:
    assert "sighs" not in known.alikes("size")
    assert "size" not in known.alikes("size")


def test_an_accent_without_r_is_not_taken_for_another_word(known: Pronunciations) -> None:
    assert known.alikes("torque") == ("fork",)


def test_a_last_sound_that_is_voiced_or_not_makes_no_other_word(known: Pronunciations) -> None:
    assert "lose" not in known.alikes("loose")


def test_a_soft_breath_makes_no_other_word(known: Pronunciations) -> None:
    assert known.alikes("hold") == ("bold",)


def test_an_ending_makes_no_other_word(known: Pronunciations) -> None:
    assert known.alikes("parts") == ("ports",)


@pytest.mark.parametrize("word", ["the", "unheard"])
def test_short_and_unknown_words_have_none(known: Pronunciations, word: str) -> None:
    assert known.alikes(word) == ()
