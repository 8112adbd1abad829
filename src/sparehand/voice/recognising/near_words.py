"""Words that sound nearly like another: the near-commands that a strict grammar would otherwise take for the phrase."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from itertools import islice
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

COMMON_ENOUGH = 4_000
"""So many of the commonest words can be sound-alikes."""
MOST_ALIKES = 24
LEAST_PHONES = 3
"""Shorter words ("the", "is") sound like too much."""
FURTHEST = 1.2
FURTHEST_A_PHONE = 0.4
"""How far a sound-alike may be, in changed phones: the larger of the two, the second for each phone of the word."""
LEAST_MISHEARD_PHONES = 2
MOST_MISHEARD = 60
FURTHEST_MISHEARD = 1.9
FURTHEST_MISHEARD_A_PHONE = 0.55
"""The same for what a model may hear in an accent that it does not know."""

_LOST = 0.8
_ANOTHER = 1.0
_ALIKE = 0.6
_VOICED = 0.3
_BREATH = 0.3
"""A breathed H is soft: it is easily another breath, or none."""
_VOICED_PAIRS = ("PB", "TD", "KG", "FV", "SZ", ("SH", "ZH"), ("CH", "JH"), ("TH", "DH"))
_SAME = 0.5
"""What is nearer than that is said alike by many people."""
_OTHER_KIND = 1.6
_MOST_PHONES = 10
_KINDS = {
    "vowel": "AA AE AH AO AW AY EH ER EY IH IY OW OY UH UW",
    "stop": "P B T D K G",
    "hiss": "F V TH DH S Z SH ZH CH JH HH",
    "nasal": "M N NG",
    "glide": "L R W Y",
}
_KIND_OF = {phone: kind for kind, phones in _KINDS.items() for phone in phones.split()}
_NUMBERS = {phone: number for number, phone in enumerate(_KIND_OF, start=1)}


def read_pronunciations(dictionary: Path, words: Collection[str]) -> dict[str, tuple[str, ...]]:
    """The first pronunciation of each of `words` in a dictionary of CMU's form, without the R that not everybody says.

    Words that it lacks are missing. Whoever says "torque" without an R must not be taken to say "talk".
    """
    lines = dictionary.read_text(encoding="utf-8").splitlines()
    wanted = set(words)
    rows = (line.split() for line in lines)
    return {row[0]: tuple(_without_silent_r(row[1:])) for row in rows if row[0] in wanted}


class Pronunciations:
    """The words of a language that are common enough, ready to be compared with others by their sound."""

    def __init__(
        self, phones: Mapping[str, tuple[str, ...]], costs: Mapping[str, float], most: int = COMMON_ENOUGH
    ) -> None:
        by_cost = sorted((word for word in phones if word in costs), key=lambda word: costs[word])
        common = by_cost[:most]
        self._by_sound = {phones[word]: word for word in reversed(by_cost)}
        self._words = [word for word in common if LEAST_PHONES - 1 <= len(phones[word]) <= _MOST_PHONES]
        self._phones = phones
        self._matrix = np.zeros((len(self._words), _MOST_PHONES), np.int64)
        for row, word in enumerate(self._words):
            self._matrix[row, : len(phones[word])] = [_NUMBERS[phone] for phone in phones[word]]
        self._lengths = np.count_nonzero(self._matrix, axis=1)

    def alikes(self, word: str) -> tuple[str, ...]:
        """Words near to `word` in sound, the nearest first; none for a very short one or one of unknown sound."""
        if len(self.phones(word)) < LEAST_PHONES:
            return ()
        return tuple(islice(self._nearest(word, _SAME, FURTHEST, FURTHEST_A_PHONE), MOST_ALIKES))

    def misheard(self, word: str) -> tuple[str, ...]:
        """What may be heard in place of `word` where the accent is another; words of its very sound, too."""
        if len(self.phones(word)) < LEAST_MISHEARD_PHONES:
            return ()
        nearest = self._nearest(word, 0.0, FURTHEST_MISHEARD, FURTHEST_MISHEARD_A_PHONE)
        return tuple(islice((other for other in nearest if other != word), MOST_MISHEARD))

    def phones(self, word: str) -> tuple[str, ...]:
        """How `word` sounds; empty where that is not known."""
        return self._phones.get(word, ())

    def saying(self, phones: tuple[str, ...]) -> str | None:
        """The commonest word that sounds so, if there is one."""
        return self._by_sound.get(phones)

    def _nearest(self, word: str, least: float, furthest: float, furthest_a_phone: float) -> Iterator[str]:
        phones = self.phones(word)
        if len(phones) > _MOST_PHONES:
            return
        far = self._distances(phones)
        near = np.flatnonzero((far >= least) & (far <= max(furthest, furthest_a_phone * len(phones))))
        for index in near[np.argsort(far[near], kind="stable")]:
            if not _only_ending(phones, self._phones[self._words[index]]):
                yield self._words[index]

    def _distances(self, phones: tuple[str, ...]) -> NDArray[np.float64]:
        """The weighted edit distance of every word to `phones`."""
        added = _LOSSES[self._matrix]
        row = np.hstack([np.zeros((len(self._words), 1)), np.cumsum(added, axis=1)])
        for phone in phones:
            number = _NUMBERS[phone]
            change = _CHANGES[number][self._matrix]
            fresh = np.empty_like(row)
            fresh[:, 0] = row[:, 0] + _LOSSES[number]
            for at in range(1, _MOST_PHONES + 1):
                lost = np.minimum(row[:, at] + _LOSSES[number], fresh[:, at - 1] + added[:, at - 1])
                fresh[:, at] = np.minimum(row[:, at - 1] + change[:, at - 1], lost)
            row = fresh
        return np.asarray(row[np.arange(len(self._words)), self._lengths])


def changed_vowel(ours: tuple[str, ...], theirs: tuple[str, ...]) -> tuple[str, str] | None:
    """The one vowel in which two words of the same length differ, and what it is in the other, if that is all."""
    changed = [pair for pair in zip(ours, theirs, strict=False) if pair[0] != pair[1]]
    if len(ours) != len(theirs) or len(changed) != 1 or {_KIND_OF[phone] for phone in changed[0]} != {"vowel"}:
        return None
    return changed[0]


def _without_silent_r(phones: list[str]) -> Iterator[str]:
    for before, phone, after in zip(["", *phones], phones, [*phones[1:], ""], strict=False):
        silent = phone == "R" and _KIND_OF.get(before) == "vowel" and _KIND_OF.get(after) != "vowel"
        if not silent:
            yield phone


def _change(one: str, other: str) -> float:
    if one == other:
        return 0.0
    if "HH" in (one, other) and _KIND_OF[one] == _KIND_OF[other]:
        return _BREATH
    if any(one in pair and other in pair for pair in _VOICED_PAIRS):
        return _VOICED
    kinds = (_KIND_OF[one], _KIND_OF[other])
    if kinds[0] == kinds[1]:
        return _ALIKE
    return _OTHER_KIND if "vowel" in kinds else _ANOTHER


def _only_ending(one: tuple[str, ...], other: tuple[str, ...]) -> bool:
    """Whether they differ by an ending alone: "part" is no other word than "parts"."""
    shorter, longer = sorted((one, other), key=len)
    return len(longer) == len(shorter) + 1 and longer[:-1] == shorter and longer[-1] in ("S", "Z", "T", "D")


_PHONES = ("", *_NUMBERS)
_CHANGES = np.array([[_change(one, other) if one and other else _OTHER_KIND for other in _PHONES] for one in _PHONES])
_LOSSES = np.array([_LOST if phone != "HH" else _BREATH for phone in _PHONES])
