from hypothesis import given, strategies as st

from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.phrases.phrase_table import Pattern, PhraseTable
from sparehand.voice.phrases.soundalike import (
    SoundAlike,
    least_distance,
    phone_distance,
    sound_alikes,
    words_without_pronunciation,
)

NEAR_AND_ACCEPTED = {
    frozenset({"in kilogram metres", "use kilogram metres"}),
    frozenset({"in newton metres", "use newton metres"}),
    frozenset({"always use foot pounds", "always use inch pounds"}),
    frozenset({"repeat in foot pounds", "repeat in inch pounds"}),
    frozenset({"torque in foot pounds", "torque in inch pounds"}),
    frozenset({"the mark is made", "the mark is found"}),
    frozenset({"what comes after this", "what comes after that"}),
}
"""Pairs that the file accepts, because what they differ in cannot be said otherwise, or because both only read out."""


def _pattern(phrase: str, command: str) -> Pattern:
    return Pattern(phrase, command, "does it", frozenset({"working"}))


def test_the_same_phones_have_no_distance_and_others_have_all() -> None:
    assert phone_distance(["N", "OW"], ["N", "OW"]) == 0.0
    assert phone_distance(["N", "OW"], ["SH", "K"]) == 1.0
    assert phone_distance(["N", "OW"], ["N", "IY"]) == 0.25


def test_a_pair_that_sounds_alike_is_listed() -> None:
    table = PhraseTable((_pattern("mark the tyre", "Next"), _pattern("park the tyre", "Undo")), "spare hand")
    (pair,) = sound_alikes(table)
    assert {pair.first, pair.second} == {"mark the tyre", "park the tyre"}


def test_wordings_of_one_meaning_may_sound_alike() -> None:
    table = PhraseTable((_pattern("mark done", "Next"), _pattern("mark dawn", "Next")), "spare hand")
    assert sound_alikes(table) == ()


def test_every_word_of_the_file_can_be_pronounced() -> None:
    table = load_phrases()
    assert words_without_pronunciation(table.words(), table.pronunciations) == ()


def test_the_file_holds_no_pair_that_sounds_alike_but_those_accepted() -> None:
    found: list[SoundAlike] = [
        pair for pair in sound_alikes(load_phrases()) if frozenset({pair.first, pair.second}) not in NEAR_AND_ACCEPTED
    ]
    assert found == []


@given(
    *(st.lists(st.sampled_from(["N", "OW", "IY", "T", "K", "S"]), min_size=1, max_size=6).map(tuple) for _ in range(2))
)
def test_the_quick_bound_is_never_above_the_distance(ours: tuple[str, ...], theirs: tuple[str, ...]) -> None:
    assert least_distance(ours, theirs) <= phone_distance(ours, theirs)
