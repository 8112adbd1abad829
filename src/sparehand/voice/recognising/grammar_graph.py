"""One strict word graph for Vosk: every phrase at no cost, and around them the talk that is none, at a price.

From wherever the talker is in a phrase, and after its end, a way without a word leads into a loop of common words.
What is said there is a decoy: it ends like a phrase, but it is none, so that talk has somewhere to go. A second copy of
the phrases holds those that went wrong: with a word that sounds alike, an opposite, a negation, or a part missing.
Whether a text is a phrase is for the table to say, so that no copy can make one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from heapq import heappop, heappush
from itertools import pairwise
from math import inf
from pathlib import Path

from sparehand.job.situation import SITUATIONS
from sparehand.voice.phrases.edges import MOST_EDGE_WORDS
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.phrases.spoken_numbers import DIGIT_WORDS
from sparehand.voice.phrases.word_graph import START, WordGraph
from sparehand.voice.recognising.decoys import INSERTED, NEGATED, NEGATIONS, OPPOSITES, DecoyCosts, Decoys
from sparehand.voice.recognising.openfst import WeightedArc, WordTables, write_machine
from sparehand.voice.recognising.talker_profile import NO_VARIANTS, Variants

_NO_WORD = 0
_TERM = 12.0
"""A word that costs as much in the language at large is a term of the trade: what follows it is no ordinary talk."""
_HEARD_INTO_SILENCE = {"oh": 2.0}
"""What words cost in a phrase that are so short that they are easily heard where nothing is."""


def write_grammar(
    path: Path,
    tables: WordTables,
    table: PhraseTable,
    decoys: Decoys,
    costs: DecoyCosts,
    variants: Variants = NO_VARIANTS,
) -> None:
    """Write the grammar of all phrases of `table`, each with or without the call word and edges, and of `decoys`.

    A word of the phrases counts, at a cost, where one of its `variants` is heard in its place. Raises KeyError for a
    word that `tables` lacks.
    """
    grammar = _Grammar(tables, table.graph(SITUATIONS), decoys, costs)
    grammar.add_phrases()
    grammar.add_variants(variants)
    grammar.add_near_misses()
    grammar.add_parts()
    grammar.add_edges(table.edges.before, table.edges.after)
    grammar.add_call_word(table.call_word.split())
    grammar.add_loop()
    write_machine(path, tables, grammar.arcs, grammar.finals)


class _Grammar:
    """The arcs of the grammar by state. The first states are those of the graph, then come those of its copy."""

    def __init__(self, tables: WordTables, graph: WordGraph, decoys: Decoys, costs: DecoyCosts) -> None:
        self._labels = tables.labels
        self._graph = graph
        self._decoys = decoys
        self._costs = costs
        self._copy = 1 + max((arc.target for arc in graph.arcs), default=START)
        self._within_number = {arc.target for arc in graph.arcs if arc.word in DIGIT_WORDS}
        self._calling: list[int] = []
        self.arcs: list[list[WeightedArc]] = [[] for _ in range(2 * self._copy)]
        self.finals = dict.fromkeys((START, *graph.ends, *(self._copy + end for end in graph.ends)), 0.0)

    def add_phrases(self) -> None:
        """Every phrase at no cost but that of its numbers and weak words; and its copy."""
        numbers = self._graph.beginnings(DIGIT_WORDS)
        for arc in self._graph.arcs:
            cost = _HEARD_INTO_SILENCE.get(arc.word, 0.0) + (self._costs.number if arc in numbers else 0.0)
            self._add(arc.source, arc.word, cost, arc.target)
            self._add(self._copy + arc.source, arc.word, cost, self._copy + arc.target)

    def add_variants(self, variants: Variants) -> None:
        """What is heard when this talker says a word of the phrases; in the copy, too: what denies one is said so."""
        for arc in self._graph.arcs:
            for heard, cost in variants.get(arc.word, {}).items():
                for copy in (0, self._copy):
                    word = WeightedArc(self._labels[heard], cost, copy + arc.target, self._labels[arc.word])
                    self.arcs[copy + arc.source].append(word)

    def add_near_misses(self) -> None:
        """Phrases with a word that sounds alike, with an opposite, and with a negation before or inside."""
        for state, near, cost, target in _near_ways(self._graph, self._decoys):
            self._add(state, near, self._costs.alike + self._costs.rarity * cost, target)
        for arc in self._graph.arcs:
            for opposite in OPPOSITES.get(arc.word, frozenset()) & self._labels.keys():
                self._add(arc.source, opposite, self._costs.opposite, self._copy + arc.target)
            if NEGATED.get(arc.word) in self._labels:
                self._add(arc.source, NEGATED[arc.word], self._costs.inserted, self._copy + arc.target)
        before = _words_before(self._graph)
        for state, ways in self._graph.ways.items():
            if state == START or DIGIT_WORDS.keys().isdisjoint(ways):
                for word in (NEGATIONS if state == START else NEGATIONS | INSERTED) & self._labels.keys():
                    rare = min(self._decoys.cost(said, word) for said in before[state]) if state != START else 0.0
                    least = self._costs.inserted if word in INSERTED else self._costs.opposite
                    cost = least + self._costs.opposite_by_rarity * rare
                    self._add(state, word, cost, self._copy + state)

    def add_parts(self) -> None:
        """Phrases whose end is missing, and those whose beginning is."""
        for state in self._graph.ways.keys() - self._within_number:
            self.finals.setdefault(state, self._costs.part)
        middle = self._new_state()
        self._add(START, None, self._costs.part, middle)
        for arc in self._graph.arcs:
            if arc.source != START and arc.word not in DIGIT_WORDS:
                self._add(middle, arc.word, 0.0, self._copy + arc.target)

    def add_edges(self, before: Sequence[str], after: Sequence[str]) -> None:
        """Words of hesitation and politeness before every phrase, and after it.

        Noise is too easily taken for a digit to let such a word lie before or behind it.
        """
        digits = {self._labels[word] for word in DIGIT_WORDS if word in self._labels}
        first = [arc for arc in self.arcs[START] if arc.label not in digits]
        for state in self._add_run(START, before):
            self.arcs[state] += first
        behind = self._new_state()
        self.finals |= dict.fromkeys(self._add_run(behind, after), 0.0)
        for end in self._graph.ends.keys() - self._within_number:
            self._add(end, None, 0.0, behind)
            self._add(self._copy + end, None, 0.0, behind)

    def add_call_word(self, call: Sequence[str]) -> None:
        """The call word before all that, and alone."""
        source = START
        first = list(self.arcs[START])
        for word in call:
            self._calling.append(self._new_state())
            self._add(source, word, 0.0, self._calling[-1])
            source = self._calling[-1]
        self.arcs[source] += first
        self.finals[source] = 0.0

    def add_loop(self) -> None:
        """The words of any talk, and the ways into them."""
        loop = self._new_state()
        rarities = _rarities(self._graph, self._decoys.cost)
        for state in (*range(self._copy), *self._calling):
            into = self._costs.leaving(state, self._graph, rarities.get(state, 0.0))
            if into < inf:
                self._add(state, None, into, loop)
        for word in sorted(self._decoys.words):
            self._add(loop, word, self._costs.word, loop)
        self.finals[loop] = 0.0

    def _add(self, source: int, word: str | None, cost: float, target: int) -> None:
        label = _NO_WORD if word is None else self._labels[word]
        self.arcs[source].append(WeightedArc(label, cost, target))

    def _add_run(self, source: int, words: Sequence[str]) -> list[int]:
        """Up to MOST_EDGE_WORDS of `words` from `source` on; gives the states behind each."""
        states = [source, *(self._new_state() for _ in range(MOST_EDGE_WORDS))]
        for state, target in pairwise(states):
            for word in words:
                self._add(state, word, self._costs.edge, target)
        return states[1:]

    def _new_state(self) -> int:
        self.arcs.append([])
        return len(self.arcs) - 1


def _rarities(graph: WordGraph, cost: Callable[[str | None, str], float]) -> dict[int, float]:
    """By state, what the commonest words that lead there cost in the language at large (Dijkstra)."""
    found: dict[int, float] = {}
    waiting: list[tuple[float, int, str]] = [(0.0, START, "")]
    while waiting:
        rarity, state, said = heappop(waiting)
        if state in found:
            continue
        found[state] = rarity
        for word, target in graph.ways.get(state, {}).items():
            heappush(waiting, (rarity + cost(said or None, word), target, word))
    return found


def _words_before(graph: WordGraph) -> dict[int, set[str | None]]:
    """By state, the words that lead to it."""
    before: dict[int, set[str | None]] = {START: {None}}
    for arc in graph.arcs:
        before.setdefault(arc.target, set()).add(arc.word)
    return before


def _near_ways(graph: WordGraph, decoys: Decoys) -> Iterator[tuple[int, str, float, int]]:
    """A state, a word that sounds like one that leads on from it, its cost, and where to, in the graph or its copy.

    A word that leads on by itself leads into the copy; any other keeps to the graph, where more may go wrong: a text
    that holds it is no phrase.
    """
    copy = 1 + max((arc.target for arc in graph.arcs), default=START)
    before = _words_before(graph)
    for state, ways in graph.ways.items():
        if not any(said is None or decoys.cost(None, said) < _TERM for said in before[state]):
            continue
        for word, target in ways.items():
            for near in decoys.alikes.get(word, ()):
                cost = min(decoys.cost(said, near) for said in before[state])
                yield state, near, cost, target + (copy if near in ways else 0)
