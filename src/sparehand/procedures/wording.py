"""Values in words, for the voice and for the screen: the number first, digit by digit, its unit last."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from math import floor

from sparehand.ground.plurals import agreeing
from sparehand.procedures.quantities import TorqueUnit, TorqueValue

_DIGITS = {
    "0": "zero",
    "1": "one",
    "2": "two",
    "3": "three",
    "4": "four",
    "5": "five",
    "6": "six",
    "7": "seven",
    "8": "eight",
    "9": "nine",
    ".": "decimal",
    "-": "minus",
}
_TORQUE_UNITS: dict[TorqueUnit, str] = {
    "N·m": "newton metres",
    "lbf·ft": "foot pounds",
    "lbf·in": "inch pounds",
    "kgf·m": "kilogram-force metres",
}
_UNITS: dict[str, str] = {
    "mm": "millimetres",
    "µm": "micrometres",
    "cm": "centimetres",
    "m": "metres",
    "in": "inches",
    "°": "degrees",
    "%": "percent",
    "bar": "bar",
    "kPa": "kilopascals",
    "V": "volts",
    "A": "amperes",
    "°C": "degrees Celsius",
    "N": "newtons",
    "g": "grams",
    "kg": "kilograms",
    "t": "tonnes",
    "l": "litres",
    "ml": "millilitres",
    "min": "minutes",
    "s": "seconds",
    "h": "hours",
    "km": "kilometres",
    **{str(unit): words for unit, words in _TORQUE_UNITS.items()},
}
_ONE = {"inches": "inch", "degrees Celsius": "degree Celsius"}
"""Units whose singular is not the plural without its s."""
_CONFUSABLE = frozenset(range(13, 20)) | frozenset(range(30, 100, 10))


def number_shown(value: float) -> str:
    """The number as written: four decimals, or four digits of a small one, none where they are zero, no exponent."""
    decimals = 4 if abs(value) >= 1 or not value else 3 - math.floor(math.log10(abs(value)))
    written = f"{value:.{max(4, decimals)}f}".rstrip("0").rstrip(".")
    return "0" if written in ("", "-0") else written


def digits_spoken(written: str) -> str:
    """A written number digit by digit, the point as "decimal".

    The way of ICAO Annex 10, volume II, 5.2.1.4 with everyday names of the digits. Raises ValueError for
    anything but digits, a point and a leading minus.
    """
    if not re.fullmatch(r"-?\d+(\.\d+)?", written):
        raise ValueError(f"'{written}' is no number written in digits")
    return " ".join(_DIGITS[sign] for sign in written)


def number_spoken(count: int) -> str:
    """An ordinary whole number in words, but digit by digit where teens and tens are mistaken for each other.

    Fifteen is heard as fifty (ISMP 2001, whose advice is "one five"); so 13 to 19 and 30, 40 … 90 are spelled out.
    """
    if count in _CONFUSABLE:
        return digits_spoken(str(count))
    from num2words import num2words

    words: str = num2words(count, lang="en")
    return words.replace("-", " ").replace(",", "")


def counted(count: int, thing: str, things: str | None = None) -> str:
    """A number of things in words: "one bolt", "four bolts"."""
    return f"{number_spoken(count)} {agreeing(count, thing, things)}"


def torque_shown(torque: TorqueValue) -> str:
    """A torque for the screen: "110 N·m"."""
    return f"{number_shown(torque.value)} {torque.unit}"


def quantity_spoken(value: float, unit: str) -> str:
    """A measured value for the voice, its unit last; a unit without a known name is said as written."""
    return f"{digits_spoken(number_shown(value))} {unit_spoken(unit, singular=value == 1)}".rstrip()


def label_spoken(label: str) -> str:
    """A size or a name that holds numbers, for the voice: "5 mm hex key" as "five millimetre hex key"."""
    measured = re.sub(r"\b(\d+(?:\.\d+)?) (mm|t)\b(?= [a-z])", lambda found: _measure(found, singular=True), label)
    measured = re.sub(r"\b(\d+(?:\.\d+)?) (mm|t)\b", lambda found: _measure(found, singular=found[1] == "1"), measured)
    return re.sub(r"\b\d+\b", lambda found: number_spoken(int(found[0])), measured)


def _measure(found: re.Match[str], *, singular: bool) -> str:
    return f"{digits_spoken(number_shown(float(found[1])))} {unit_spoken(found[2], singular=singular)}"


def unit_spoken(unit: str, *, singular: bool = False) -> str:
    """A unit for the voice, "newton metres" or "newton metre"; one without a known name is said as written."""
    words = _UNITS.get(unit, unit)
    return _ONE.get(words, words.removesuffix("s")) if singular and unit in _UNITS else words


def quantity_shown(value: float, unit: str) -> str:
    """A measured value for the screen."""
    return f"{number_shown(value)} {unit}".rstrip()


def thread_spoken(thread: str) -> str:
    """A thread: M12x1.5 as "M one two by one decimal five", 1/2-13 as "one over two inch, one three threads"."""
    inch = re.fullmatch(r"(\d+)(?:/(\d+))?-(\d+)(?: UN[CF])?", thread)
    if inch is not None:
        under = f" over {number_spoken(int(inch[2]))}" if inch[2] else ""
        return f"{number_spoken(int(inch[1]))}{under} inch, {digits_spoken(inch[3])} threads"
    match = re.fullmatch(r"M(\d+(?:\.\d+)?)(?:x(\d+(?:\.\d+)?))?", thread)
    if match is None:
        return thread
    pitch = f" by {digits_spoken(match[2])}" if match[2] else ""
    return f"M {digits_spoken(match[1])}{pitch}"


def nearest(value: float) -> int:
    """The whole number nearest, and of two the larger: `round` takes the even one, and two for 2.5."""
    return floor(value + 0.5)


def duration_spoken(seconds: float) -> str:
    """A duration: "one hour twelve minutes"; under a minute in seconds, else to the whole minute nearest."""
    if seconds < 60:
        return counted(int(seconds), "second")
    minutes = nearest(seconds / 60)
    parts = [(minutes // 60, "hour"), (minutes % 60, "minute")]
    return " ".join(counted(count, name) for count, name in parts if count)


def duration_shown(seconds: float) -> str:
    """A duration for the screen: "1 h 12 min", "40 s"; rounded as it is spoken."""
    if seconds < 60:
        return f"{int(seconds)} s"
    minutes = nearest(seconds / 60)
    parts = [(minutes // 60, "h"), (minutes % 60, "min")]
    return " ".join(f"{count} {name}" for count, name in parts if count)


def listed(items: Sequence[str]) -> str:
    """Things in a row: "a", "a and b", "a, b and c"; "none" where there is nothing."""
    if not items:
        return "none"
    *front, last = items
    return f"{', '.join(front)} and {last}" if front else last
