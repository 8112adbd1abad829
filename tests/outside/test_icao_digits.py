"""Numbers digit by digit, against published rules of radiotelephony.

ICAO Annex 10, volume II, 5.2.1.4: every digit of a number is pronounced separately, "decimal" stands for the point.
The examples are recalled from memory of that chapter; its own pronunciations (tree, fife, niner) are not taken over.
ISMP 2001: fifteen is heard as fifty; the advice is to say "one five".
"""

import pytest

from sparehand.procedures.wording import digits_spoken, number_spoken


@pytest.mark.parametrize(
    ("written", "spoken"),
    [
        ("10", "one zero"),
        ("75", "seven five"),
        ("583", "five eight three"),
        ("118.1", "one one eight decimal one"),
        ("120.375", "one two zero decimal three seven five"),
    ],
)
def test_each_digit_is_said_by_itself_and_the_point_as_decimal(written: str, spoken: str) -> None:
    assert digits_spoken(written) == spoken


@pytest.mark.parametrize(
    ("count", "spoken"), [(15, "one five"), (50, "five zero"), (14, "one four"), (40, "four zero")]
)
def test_teens_and_tens_that_are_mistaken_for_each_other_are_spelled_out(count: int, spoken: str) -> None:
    assert number_spoken(count) == spoken
