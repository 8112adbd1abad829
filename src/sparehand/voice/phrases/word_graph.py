"""A deterministic graph of words: every text that can be said is a path from its start to one of its ends."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property

START = 0
"""The state in which every path begins."""


@dataclass(frozen=True)
class Arc:
    """One word that leads from one state to another."""

    source: int
    word: str
    target: int


@dataclass(frozen=True)
class WordGraph:
    """Arcs from state START on; no state has two arcs of one word. `ends` gives each final state its meanings' indices.

    More than one index at a final state is a text with more than one meaning.
    """

    arcs: tuple[Arc, ...]
    ends: Mapping[int, tuple[int, ...]] = field(hash=False)

    @cached_property
    def words(self) -> frozenset[str]:
        """Every word that occurs."""
        return frozenset(arc.word for arc in self.arcs)

    @cached_property
    def ways(self) -> Mapping[int, Mapping[str, int]]:
        """By state, the words that lead on and where to; ends without a way on are missing."""
        steps: dict[int, dict[str, int]] = {}
        for arc in self.arcs:
            steps.setdefault(arc.source, {})[arc.word] = arc.target
        return steps

    def beginnings(self, words: Collection[str]) -> frozenset[Arc]:
        """The arcs by which a run of such words begins where nothing announces it: first, or behind a complete text."""
        within = {arc.target for arc in self.arcs if arc.word in words}
        bare = {START, *self.ends} - within
        return frozenset(arc for arc in self.arcs if arc.word in words and arc.source in bare)

    def after(self, words: Sequence[str]) -> int | None:
        """The state that `words` lead to from the start, or None where they leave the graph."""
        state: int | None = START
        for word in words:
            state = self.ways.get(state, {}).get(word) if state is not None else None
        return state

    def next_words(self, words: Sequence[str]) -> tuple[str, ...]:
        """The words that can follow `words`."""
        state = self.after(words)
        return () if state is None else tuple(self.ways.get(state, {}))

    def meanings(self, words: Sequence[str]) -> tuple[int, ...]:
        """The indices of what exactly `words` mean; empty where they are no complete text."""
        state = self.after(words)
        return () if state is None else self.ends.get(state, ())


@dataclass(frozen=True)
class Strand:
    """A small graph to be joined with others: arcs by state, from state 0, and its final states."""

    steps: Mapping[int, Mapping[str, int]] = field(hash=False)
    finals: frozenset[int]


def strand_of_texts(texts: Iterable[Sequence[str]]) -> Strand:
    """A prefix tree of `texts`."""
    steps: dict[int, dict[str, int]] = {0: {}}
    finals = set()
    for text in texts:
        state = 0
        for word in text:
            if word not in steps[state]:
                steps[state][word] = len(steps)
                steps[steps[state][word]] = {}
            state = steps[state][word]
        finals.add(state)
    return Strand(steps, frozenset(finals))


def join(chains: Sequence[Sequence[Strand]]) -> WordGraph:
    """The deterministic graph of several chains of strands, each chain one meaning; by subset construction."""
    builder = _Builder(chains)
    start = frozenset(place for index in range(len(chains)) for place in builder.arriving((index, 0, 0)))
    numbers = {start: START}
    waiting = [start]
    arcs: list[Arc] = []
    ends: dict[int, tuple[int, ...]] = {}
    while waiting:
        subset = waiting.pop()
        source = numbers[subset]
        if meanings := builder.ended(subset):
            ends[source] = meanings
        for word, target in sorted(builder.leaving(subset).items()):
            if target not in numbers:
                numbers[target] = len(numbers)
                waiting.append(target)
            arcs.append(Arc(source, word, numbers[target]))
    return WordGraph(tuple(arcs), ends)


_Place = tuple[int, int, int]
"""Which chain, which of its strands, which state of that."""


class _Builder:
    def __init__(self, chains: Sequence[Sequence[Strand]]) -> None:
        self._chains = chains

    def arriving(self, place: _Place) -> set[_Place]:
        """The place and, at the end of a strand, the start of the next, or the end of the chain."""
        chain, strand, state = place
        places = {place}
        strands = self._chains[chain]
        if strand < len(strands) and state in strands[strand].finals:
            places |= self.arriving((chain, strand + 1, 0))
        return places

    def ended(self, subset: frozenset[_Place]) -> tuple[int, ...]:
        return tuple(sorted({chain for chain, strand, _ in subset if strand == len(self._chains[chain])}))

    def leaving(self, subset: frozenset[_Place]) -> dict[str, frozenset[_Place]]:
        targets: dict[str, set[_Place]] = {}
        for chain, strand, state in subset:
            if strand == len(self._chains[chain]):
                continue
            for word, target in self._chains[chain][strand].steps.get(state, {}).items():
                targets.setdefault(word, set()).update(self.arriving((chain, strand, target)))
        return {word: frozenset(places) for word, places in targets.items()}
