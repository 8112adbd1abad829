import pytest
from hypothesis import given, strategies as st

from sparehand.voice.phrases.spoken_numbers import (
    digits_from_words,
    number_from_words,
    words_from_digits,
    words_from_number,
)

PLAIN_NUMBERS = st.from_regex(r"[0-9]{1,5}(\.[0-9]{1,3})?", fullmatch=True)


@given(PLAIN_NUMBERS)
def test_a_number_read_out_digit_by_digit_is_the_same_number(digits: str) -> None:
    assert digits_from_words(words_from_digits(digits)) == digits


@given(st.integers(1, 90))
def test_a_count_said_is_the_same_count(number: int) -> None:
    assert number_from_words(words_from_number(number), 90) == number


def test_oh_and_point_are_heard_like_zero_and_decimal() -> None:
    assert digits_from_words(["one", "oh", "five", "point", "two"]) == "105.2"


@pytest.mark.parametrize(
    "said", ["", "decimal", "decimal five", "one decimal", "one decimal two decimal three", "one ten"]
)
def test_what_is_no_number_gives_none(said: str) -> None:
    assert digits_from_words(said.split()) is None


def test_a_count_above_the_highest_gives_none() -> None:
    assert number_from_words(["twenty", "one"], 20) is None


@pytest.mark.parametrize("digits", ["", "1.", ".5", "1.2.3", "-4", "1e3", "²"])
def test_only_plain_numbers_are_read_out(digits: str) -> None:
    with pytest.raises(ValueError, match="no plain number"):
        words_from_digits(digits)
