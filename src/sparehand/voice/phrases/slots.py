"""The open places of a phrase: what can stand in each, and what it means.

`{digits}`, `{count}` and `{minutes}` hold numbers, `{name}` a name; `{fault}`, `{side}` and `{urgency}` hold one of few
words.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Literal, get_args

from sparehand.job.events import FaultWord, Urgency
from sparehand.procedures.model import Side
from sparehand.voice.phrases.spoken_numbers import (
    DIGIT_WORDS,
    POINT_WORDS,
    digits_from_words,
    number_from_words,
    words_from_number,
)
from sparehand.voice.phrases.word_graph import Strand, strand_of_texts

Slot = Literal["digits", "count", "minutes", "name", "fault", "side", "urgency"]
SLOTS: tuple[Slot, ...] = get_args(Slot)
NUMBERS: frozenset[Slot] = frozenset({"digits", "count", "minutes"})
WORDS: Mapping[Slot, tuple[str, ...]] = {
    "fault": get_args(FaultWord),
    "side": get_args(Side),
    "urgency": get_args(Urgency),
}
"""What may be said in the slots that hold one of few words."""

HIGHEST_COUNT = 20
HIGHEST_MINUTES = 90
MOST_WHOLE_DIGITS = 5
MOST_DECIMALS = 3


def slot_of(part: str) -> Slot | None:
    """The slot that a part of a phrase is, or None where it is a plain word."""
    return next((slot for slot in SLOTS if part == f"{{{slot}}}"), None)


def slot_strand(slot: Slot, names: Mapping[str, str]) -> Strand:
    """Every word sequence that may stand in the slot; `names` are those that `{name}` stands for."""
    match slot:
        case "digits":
            return _digits_strand()
        case "count":
            return strand_of_texts(words_from_number(number) for number in range(1, HIGHEST_COUNT + 1))
        case "minutes":
            return strand_of_texts(words_from_number(number) for number in range(1, HIGHEST_MINUTES + 1))
        case "name":
            return strand_of_texts(name.split() for name in names)
        case "fault" | "side" | "urgency":
            return strand_of_texts([word] for word in WORDS[slot])


def slot_value(slot: Slot, words: Sequence[str], names: Mapping[str, str]) -> str | int | None:
    """What the words in the slot mean: digits, a number, an id; None where they mean nothing there."""
    match slot:
        case "digits":
            return digits_from_words(words)
        case "count":
            return number_from_words(words, HIGHEST_COUNT)
        case "minutes":
            return number_from_words(words, HIGHEST_MINUTES)
        case "name":
            return names.get(" ".join(words))
        case "fault" | "side" | "urgency":
            return words[0] if len(words) == 1 and words[0] in WORDS[slot] else None


def _digits_strand() -> Strand:
    """One to MOST_WHOLE_DIGITS digits, then perhaps a point and up to MOST_DECIMALS more."""
    point = MOST_WHOLE_DIGITS + 1
    last = point + MOST_DECIMALS
    steps: dict[int, dict[str, int]] = {state: {} for state in range(last + 1)}
    for state in (*range(MOST_WHOLE_DIGITS), *range(point, last)):
        steps[state] = dict.fromkeys(DIGIT_WORDS, state + 1)
    for state in range(1, MOST_WHOLE_DIGITS + 1):
        steps[state] = steps[state] | dict.fromkeys(POINT_WORDS, point)
    return Strand(steps, frozenset((*range(1, point), *range(point + 1, last + 1))))
