"""What a fixed vocabulary has in place of a word that it lacks: by spelling, and by how it sounds."""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from difflib import SequenceMatcher

MOST_ALTERNATIVES = 3
_LEAST_LIKENESS = 0.6
_LEAST_BY_SPELLING = 0.5
_LEAST_SHARED_LETTERS = 0.6
_SAME_BEGINNING = ("ckq", "sz", "fp", "gj")
_SOUNDS = (
    (r"ph", "f"), (r"gh", ""), (r"ck|q|c(?![eiy])", "k"), (r"c", "s"), (r"x", "ks"), (r"z", "s"), (r"wh", "w"),
    (r"[aeiouyhw]+", "a"), (r"(.)\1+", r"\1"),
)  # fmt: skip


def near_words(word: str, costs: Mapping[str, float]) -> tuple[str, ...]:
    """Up to MOST_ALTERNATIVES words like `word` among the keys of `costs`, the likest first, the commoner on a draw."""
    sound = sound_of(word)
    likeness = {
        other: _likeness(word, sound, other)
        for other in costs
        if _alike(other[:1], word[:1]) and abs(len(other) - len(word)) <= 2 and other != word
    }
    near = sorted(
        (other for other, like in likeness.items() if like >= _LEAST_LIKENESS), key=lambda other: costs[other]
    )
    return tuple(sorted(near, key=lambda other: -round(likeness[other], 1))[:MOST_ALTERNATIVES])


def unknown_of(
    words: Collection[str], known: Collection[str], costs: Mapping[str, float]
) -> dict[str, tuple[str, ...]]:
    """Those of `words` that are not `known`, each with near ones that are."""
    return {word: near_words(word, costs) for word in sorted(set(words)) if word not in known}


def sound_of(word: str) -> str:
    """A rough spelling of how an English word sounds: letters of like sound made one, vowels told no more apart."""
    for letters, sound in _SOUNDS:
        word = re.sub(letters, sound, word)
    return word


def _alike(letter: str, other: str) -> bool:
    return letter == other or any(letter in group and other in group for group in _SAME_BEGINNING)


def _likeness(word: str, sound: str, other: str) -> float:
    matcher = SequenceMatcher(None, other, word, autojunk=False)
    if len(set(other) & set(word)) < _LEAST_SHARED_LETTERS * len(set(word)) or matcher.ratio() < _LEAST_BY_SPELLING:
        return 0.0
    by_sound = SequenceMatcher(None, sound_of(other), sound, autojunk=False).ratio()
    return (matcher.ratio() + by_sound) / 2
