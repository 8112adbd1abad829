"""How the model hears one talker: the words that it hears in place of theirs, and the vowels that it takes for others.

Who says "step" so that an American model hears "steep" says it so in every phrase; and "left" and "check" alike. Words
and phones are all that is kept, never sound.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from sparehand.ground.errors import InputError
from sparehand.voice.phrases.spoken_numbers import DIGIT_WORDS, POINT_WORDS
from sparehand.voice.recognising.decoys import NEGATIONS
from sparehand.voice.recognising.near_words import LEAST_PHONES, Pronunciations, changed_vowel

Variants = Mapping[str, Mapping[str, float]]
"""By word of the phrases: what is heard in its place, and what that costs, in natural logarithms."""
NO_VARIANTS: Variants = MappingProxyType({})

HEARD_COST = 0.5
LIKE_HEARD_COST = 1.5
"""What a word costs that was heard in place of another, and one that would be if all its vowels were heard alike."""
LEAST_GAIN = 0.7
MOST_GAIN = 6.0
"""From how much better than the word itself a variant explains a take, and up to how much that counts."""
MOST_VARIANTS = 2


@dataclass(frozen=True)
class Reading:
    """One way to hear a take of a phrase: its log-likelihood, and the words, one for each of the phrase's."""

    score: float
    words: tuple[str, ...]


Take = tuple[str, Sequence[Reading]]
"""The phrase that was said, and its readings, the likeliest first."""


class TalkerProfile(BaseModel):
    """What was heard in place of a word, by word; and vowels, in CMU phones, with what they were heard as."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    heard_as: dict[str, tuple[str, ...]] = Field(max_length=200)
    vowels: tuple[tuple[str, str], ...] = Field(max_length=200)

    @classmethod
    def read(cls, written: object) -> TalkerProfile:
        """One as it was kept. Raises InputError for what is none."""
        try:
            return cls.model_validate(written)
        except ValidationError as error:
            raise InputError(
                "what was learned of a voice is damaged; learn it again, by `sparehand setup --learn`"
            ) from error

    def variants(self, words: Collection[str], sounds: Pronunciations) -> Variants:
        """What to take for each of `words`, those of the phrases. Nothing that sounds like another of them, or a no.

        Numbers are left as they are: a wrong one does harm.
        """
        reserved = {sounds.phones(word) for word in (*words, *NEGATIONS, *DIGIT_WORDS, *POINT_WORDS)}

        def far(others: Collection[str], cost: float) -> dict[str, float]:
            return {other: cost for other in others if sounds.phones(other) not in reserved}

        found = {
            word: far(tuple(self._like_heard(word, sounds))[:MOST_VARIANTS], LIKE_HEARD_COST)
            | far(self.heard_as.get(word, ()), HEARD_COST)
            for word in sorted(set(words) - {*DIGIT_WORDS, *POINT_WORDS})
        }
        return {word: heard for word, heard in found.items() if heard}

    def _like_heard(self, word: str, sounds: Pronunciations) -> Iterator[str]:
        """The words that are `word` with one vowel heard as another."""
        phones = sounds.phones(word)
        if word in self.heard_as or len(phones) < LEAST_PHONES:
            return
        for ours, theirs in self.vowels:
            for place, phone in enumerate(phones):
                other = sounds.saying((*phones[:place], theirs, *phones[place + 1 :])) if phone == ours else None
                if other is not None:
                    yield other


def learned(takes: Sequence[Take], sounds: Pronunciations, least_takes: int = 2) -> TalkerProfile:
    """The profile of who said `takes`. What was heard in fewer than `least_takes` of a word's takes is chance."""
    gains: dict[str, list[dict[str, float]]] = defaultdict(list)
    for phrase, readings in takes:
        for place, word in enumerate(phrase.split() if readings else ()):
            gains[word].append(_gains(word, place, readings))
    heard_as = {word: heard for word, rows in gains.items() if (heard := tuple(_best(rows, least_takes)))}
    pairs = ((sounds.phones(word), sounds.phones(other)) for word, heard in heard_as.items() for other in heard)
    vowels = {change for ours, theirs in pairs if (change := changed_vowel(ours, theirs))}
    return TalkerProfile(heard_as=heard_as, vowels=tuple(sorted(vowels)))


def _gains(word: str, place: int, readings: Sequence[Reading]) -> dict[str, float]:
    """By what was heard at `place` of a take, how much better than `word` it explains it."""
    best: dict[str, float] = {}
    for reading in readings:
        best.setdefault(reading.words[place], reading.score)
    without = best.pop(word, readings[-1].score)
    return {other: min(MOST_GAIN, score - without) for other, score in best.items()}


def _best(rows: Sequence[Mapping[str, float]], least_takes: int) -> Iterator[str]:
    """Up to MOST_VARIANTS words, each the one that adds most to those before it in enough of the takes."""
    reached = [0.0] * len(rows)
    for _ in range(MOST_VARIANTS):
        added = {
            other: [max(0.0, row.get(other, 0.0) - before) for row, before in zip(rows, reached, strict=True)]
            for other in {other for row in rows for other in row}
        }
        enough = [word for word, adds in added.items() if sum(add >= LEAST_GAIN for add in adds) >= least_takes]
        if not enough:
            return
        chosen = min(enough, key=lambda word: (-sum(added[word]), word))
        reached = [before + add for before, add in zip(reached, added[chosen], strict=True)]
        yield chosen
