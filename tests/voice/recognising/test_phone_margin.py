import pytest
from hypothesis import given, strategies as st

from sparehand.voice.recognising.phone_margin import Stretch, margins, phrase_confidence, word_confidence

PHONES = [Stretch("SIL", 0, 10, -100.0), Stretch("N", 10, 20, -50.0), Stretch("EH", 20, 40, -100.0)]


def test_words_that_fit_as_well_as_free_phones_have_no_margin() -> None:
    path = [Stretch("<sil>", 0, 10, -100.0), Stretch("next", 10, 40, -150.0)]
    assert margins(path, PHONES).whole == pytest.approx(0.0)
    assert margins(path, PHONES).words == pytest.approx((0.0,))


def test_a_margin_is_a_score_a_frame_of_the_words() -> None:
    path = [Stretch("<sil>", 0, 10, -100.0), Stretch("next", 10, 40, -750.0)]
    assert margins(path, PHONES).whole == pytest.approx(-20.0)


def test_talk_hidden_in_a_silence_costs() -> None:
    path = [Stretch("<sil>", 0, 30, -1000.0), Stretch("next", 30, 40, -50.0)]
    found = margins(path, PHONES)
    assert found.words == pytest.approx((0.0,))
    assert found.whole == pytest.approx(-80.0)


@given(st.floats(-1e6, 1e6), st.floats(-1e6, 1e6))
def test_confidence_is_a_share_and_grows_with_the_margin(one: float, other: float) -> None:
    for confidence in (phrase_confidence, word_confidence):
        assert 0.0 <= confidence(min(one, other)) <= confidence(max(one, other)) <= 1.0
