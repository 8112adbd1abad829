"""Values in words: nothing is lost, nothing can be mistaken, and the unit stands last."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given, strategies as st

from sparehand.procedures import wording
from sparehand.procedures.quantities import TorqueUnit, TorqueValue

BACK = dict(
    zip(("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine"), "0123456789", strict=True)
)
BACK |= {"decimal": ".", "minus": "-"}


@given(st.decimals(min_value=-10_000, max_value=10_000, places=2))
def test_a_spoken_number_can_be_written_down_again_as_it_was(value: Decimal) -> None:
    written = wording.number_shown(float(value))

    assert "".join(BACK[word] for word in wording.digits_spoken(written).split()) == written
    assert float(written) == float(value)


@pytest.mark.parametrize("written", ["", "1e5", "1,5", "eleven", "1.", ".5", "--1"])
def test_what_is_no_written_number_is_not_spoken_as_one(written: str) -> None:
    with pytest.raises(ValueError, match="no number"):
        wording.digits_spoken(written)


@pytest.mark.parametrize(
    ("value", "unit", "spoken", "shown"),
    [
        (110, "N·m", "one one zero newton metres", "110 N·m"),
        (81, "lbf·ft", "eight one foot pounds", "81 lbf·ft"),
        (90, "lbf·in", "nine zero inch pounds", "90 lbf·in"),
        (11.5, "kgf·m", "one one decimal five kilogram-force metres", "11.5 kgf·m"),
    ],
)
def test_a_torque_is_said_digit_by_digit_with_its_unit_last(
    value: float, unit: TorqueUnit, spoken: str, shown: str
) -> None:
    torque = TorqueValue(value=value, unit=unit)

    assert wording.quantity_spoken(torque.value, torque.unit) == spoken
    assert wording.torque_shown(torque) == shown


def test_sizes_angles_and_threads_are_values_too() -> None:
    assert wording.quantity_spoken(18, "mm") == "one eight millimetres"
    assert wording.quantity_spoken(90, "°") == "nine zero degrees"
    assert wording.thread_spoken("M12x1.5") == "M one two by one decimal five"
    assert wording.thread_spoken("M8") == "M eight"
    assert wording.thread_spoken("1/2-13 UNC") == "one over two inch, one three threads"
    assert wording.thread_spoken("1-8") == "one inch, eight threads"
    assert wording.quantity_spoken(0.05, "mm") == "zero decimal zero five millimetres"
    assert wording.quantity_spoken(3, "clicks") == "three clicks"


@pytest.mark.parametrize(
    ("seconds", "spoken", "shown"),
    [
        (0, "zero seconds", "0 s"),
        (1, "one second", "1 s"),
        (59.6, "fifty nine seconds", "59 s"),
        (60, "one minute", "1 min"),
        (4320, "one hour twelve minutes", "1 h 12 min"),
        (7200, "two hours", "2 h"),
        (3599, "one hour", "1 h"),
        (900, "one five minutes", "15 min"),
        (3000, "five zero minutes", "50 min"),
    ],
)
def test_a_duration_is_said_in_hours_and_minutes(seconds: float, spoken: str, shown: str) -> None:
    assert wording.duration_spoken(seconds) == spoken
    assert wording.duration_shown(seconds) == shown


@given(st.integers(0, 999))
def test_no_number_is_said_as_a_teen_that_sounds_like_a_ten(count: int) -> None:
    words = wording.number_spoken(count).split()

    if count < 100:
        assert not any(word.endswith("teen") for word in words)
        assert not (len(words) == 1 and words[0].endswith("ty") and count >= 30)


def test_things_are_counted_and_listed_as_people_do() -> None:
    assert wording.counted(1, "bolt") == "one bolt"
    assert wording.counted(4, "bolt") == "four bolts"
    assert wording.counted(2, "bush", "bushes") == "two bushes"
    assert wording.listed([]) == "none"
    assert wording.listed(["a"]) == "a"
    assert wording.listed(["a", "b"]) == "a and b"
    assert wording.listed(["a", "b", "c"]) == "a, b and c"


@pytest.mark.parametrize(("seconds", "said"), [(90, "2 min"), (150, "3 min"), (149, "2 min"), (3_570, "1 h")])
def test_half_a_minute_goes_up(seconds: float, said: str) -> None:
    assert wording.duration_shown(seconds) == said
