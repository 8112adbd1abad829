"""What is heard again and again in place of a word counts as that word, and what may be another word does not."""

from __future__ import annotations

import pytest

from sparehand.ground.errors import InputError
from sparehand.voice.recognising.near_words import Pronunciations
from sparehand.voice.recognising.talker_profile import (
    HEARD_COST,
    LIKE_HEARD_COST,
    Reading,
    Take,
    TalkerProfile,
    learned,
)

WORDS = {
    "done": "D AH N", "dawn": "D AO N", "down": "D AW N", "mark": "M AA K", "mock": "M AA K", "stuck": "S T AH K",
    "stork": "S T AO K", "nut": "N AH T", "not": "N AO T", "one": "W AH N", "worn": "W AO N", "say": "S EY",
}  # fmt: skip
SOUNDS = Pronunciations({word: tuple(phones.split()) for word, phones in WORDS.items()}, dict.fromkeys(WORDS, 1.0))


def take(phrase: str, *readings: tuple[float, str]) -> Take:
    return phrase, [Reading(score, tuple(words.split())) for score, words in readings]


TWICE = [
    take("mark done", (-10.0, "mark dawn"), (-13.0, "mark done"), (-13.5, "mock done")),
    take("mark done", (-20.0, "mock dawn"), (-20.2, "mark dawn"), (-22.0, "mark done")),
]


def test_a_word_heard_otherwise_in_both_takes_is_learned_with_its_vowel_and_chance_is_not() -> None:
    profile = learned(TWICE, SOUNDS)
    assert profile.heard_as == {"done": ("dawn",)}
    assert profile.vowels == (("AH", "AO"),)


def test_where_the_own_word_explains_it_as_well_nothing_is_learned() -> None:
    close = take("mark done", (-10.0, "mark dawn"), (-10.5, "mark done"))
    assert learned([close, close], SOUNDS).heard_as == {}
    assert learned([take("mark done"), take("mark done")], SOUNDS).heard_as == {}, "nothing was heard at all"


def test_other_words_with_that_vowel_are_heard_alike_at_a_higher_cost() -> None:
    variants = learned(TWICE, SOUNDS).variants({"mark", "done", "stuck", "say"}, SOUNDS)
    assert variants == {"done": {"dawn": HEARD_COST}, "stuck": {"stork": LIKE_HEARD_COST}}


def test_no_variant_sounds_like_another_word_of_the_phrases_or_a_no_and_no_number_has_one() -> None:
    profile = TalkerProfile(heard_as={"done": ("dawn", "down"), "one": ("worn",)}, vowels=(("AH", "AO"),))
    assert profile.variants({"nut", "one", "done", "down"}, SOUNDS) == {"done": {"dawn": HEARD_COST}}


def test_a_damaged_profile_is_refused_in_one_line() -> None:
    with pytest.raises(InputError, match="learn it again"):
        TalkerProfile.read({"heard_as": 5})
