"""Which phrases sound alike: by the phones of the CMU dictionary that comes with pocketsphinx."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from pathlib import Path

from sparehand.job.situation import Situation
from sparehand.voice.phrases.phrase_table import Pattern, PhraseTable

TOO_NEAR = 0.22
"""Below this share of differing phones two phrases are easily taken for each other in noise."""

_VOWELS = frozenset(["AA", "AE", "AH", "AO", "AW", "AY", "EH", "ER", "EY", "IH", "IY", "OW", "OY", "UH", "UW"])
_LIKE = (
    frozenset(["P", "T", "K"]),
    frozenset(["B", "D", "G"]),
    frozenset(["M", "N", "NG"]),
    frozenset(["F", "TH", "S", "SH", "HH"]),
    frozenset(["V", "DH", "Z", "ZH"]),
    frozenset(["L", "R", "W", "Y"]),
    frozenset(["CH", "JH"]),
)
_LIKE_COST = 0.5
_TALKS: frozenset[Situation] = frozenset({"opening", "working", "hold", "question"})

Phones = tuple[str, ...]


@dataclass(frozen=True)
class SoundAlike:
    """Two phrases of different meaning that may count at once; `distance` is the share of phones that differ."""

    first: str
    second: str
    distance: float


def sound_alikes(
    table: PhraseTable, too_near: float = TOO_NEAR, among: Collection[str] | None = None
) -> tuple[SoundAlike, ...]:
    """Every pair of phrases of different meaning that lies nearer than `too_near`, the nearest first.

    With `among` only the pairs that one of these phrases is in. Only whole wordings are compared, with slots left out;
    words without a known pronunciation are left out too.
    """
    spoken = [(pattern, _phones_of(pattern, table.pronunciations)) for pattern in table.patterns]
    pairs = combinations([(pattern, phones) for pattern, phones in spoken if phones], 2)
    found = (
        SoundAlike(first.phrase, second.phrase, distance)
        for (first, ours), (second, theirs) in pairs
        if (among is None or first.phrase in among or second.phrase in among)
        and first.meaning != second.meaning
        and _talks(first) & _talks(second)
        and not (first.slots or second.slots)
        and least_distance(ours, theirs) < too_near
        and (distance := phone_distance(ours, theirs)) < too_near
    )
    return tuple(sorted(found, key=lambda pair: pair.distance))


def names_alike(names: Collection[str], too_near: float = TOO_NEAR) -> tuple[tuple[str, str], ...]:
    """The pairs of spoken names that lie nearer than `too_near`; words without a known pronunciation are left out."""
    known = dictionary()
    phones = {name: tuple(phone for word in name.split() for phone in known.get(word, ())) for name in sorted(names)}
    return tuple(
        (one, other) for one, other in combinations(phones, 2) if phone_distance(phones[one], phones[other]) < too_near
    )


def _talks(pattern: Pattern) -> frozenset[Situation]:
    """The kinds of talk in which a phrase can count; what a step makes sayable counts while working."""
    return (pattern.situations & _TALKS) or frozenset({"working"})


def phone_distance(ours: Sequence[str], theirs: Sequence[str]) -> float:
    """The edits that turn one into the other, alike phones at half price, as a share of the longer one."""
    row = [float(index) for index in range(len(theirs) + 1)]
    for count, phone in enumerate(ours, start=1):
        before, row[0] = row[0], float(count)
        for index, other in enumerate(theirs, start=1):
            swapped = before + _cost(phone, other)
            before, row[index] = row[index], min(row[index] + 1, row[index - 1] + 1, swapped)
    return row[-1] / max(len(ours), len(theirs), 1)


def least_distance(ours: Phones, theirs: Phones) -> float:
    """What `phone_distance` cannot be below, quickly: phones that the shorter one lacks are lost, or alike at best."""
    longer = max(len(ours), len(theirs))
    lacking = longer - sum((Counter(ours) & Counter(theirs)).values())
    lost = abs(len(ours) - len(theirs))
    return (lost + _LIKE_COST * (lacking - lost)) / max(longer, 1)


def _cost(phone: str, other: str) -> float:
    if phone == other:
        return 0.0
    if phone in _VOWELS and other in _VOWELS:
        return _LIKE_COST
    return _LIKE_COST if any(phone in group and other in group for group in _LIKE) else 1.0


def _phones_of(pattern: Pattern, own: Mapping[str, str]) -> Phones:
    known = dictionary()
    words = (own[word].split() if word in own else known.get(word, ()) for word in pattern.parts)
    return tuple(phone for phones in words for phone in phones)


@cache
def dictionary() -> Mapping[str, Phones]:
    """The first pronunciation of every word that the dictionary holds."""
    from pocketsphinx import get_model_path

    return dict(_entries(Path(get_model_path("en-us")) / "cmudict-en-us.dict"))


def _entries(file: Path) -> Iterator[tuple[str, Phones]]:
    for line in file.read_text(encoding="utf-8").splitlines():
        word, *phones = line.split()
        if not word.endswith(")"):
            yield word, tuple(phones)


def words_without_pronunciation(words: Collection[str], own: Mapping[str, str]) -> tuple[str, ...]:
    """The words that neither the dictionary nor the table itself can pronounce."""
    known = dictionary()
    return tuple(sorted(word for word in set(words) if word not in known and word not in own))
