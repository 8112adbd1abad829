"""Spoken numbers: digits as they are read out one by one, and counts as people say them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache

DIGIT_WORDS = {
    "zero": "0",
    "oh": "0",
    "one": "1",
    "two": "2",
    "three": "3",
    "four": "4",
    "five": "5",
    "six": "6",
    "seven": "7",
    "eight": "8",
    "nine": "9",
}
"""What each digit is called; "oh" is heard, never said."""
POINT_WORDS = ("decimal", "point")
"""What parts the whole number from the decimals; the first is the one that is said."""

_SAID = {digit: word for word, digit in DIGIT_WORDS.items() if word != "oh"}


def digits_from_words(words: Sequence[str]) -> str | None:
    """The number as digits ("four six decimal five" gives "46.5"), or None where the words are no such number."""
    digits = "".join(DIGIT_WORDS.get(word, "." if word in POINT_WORDS else "?") for word in words)
    whole, point, decimals = digits.partition(".")
    right = whole.isdecimal() and (decimals.isdecimal() if point else not decimals)
    return digits if right else None


def words_from_digits(digits: str) -> tuple[str, ...]:
    """Digits one by one ("46.5" gives four, six, decimal, five). Raises ValueError for anything but a plain number."""
    whole, point, decimals = digits.partition(".")
    if not (digits.isascii() and whole.isdecimal() and (decimals.isdecimal() if point else True)):
        raise ValueError(f"'{digits}' is no plain number")
    return tuple(POINT_WORDS[0] if sign == "." else _SAID[sign] for sign in digits)


@cache
def words_from_number(number: int) -> tuple[str, ...]:
    """A whole number as people say it (21 gives twenty, one)."""
    from num2words import num2words

    return tuple(num2words(number).replace("-", " ").replace(",", "").split())


def number_from_words(words: Sequence[str], highest: int) -> int | None:
    """The number in 1 to `highest` that is said with `words`, or None."""
    return _numbers_by_words(highest).get(tuple(words))


@cache
def _numbers_by_words(highest: int) -> dict[tuple[str, ...], int]:
    return {words_from_number(number): number for number in range(1, highest + 1)}
