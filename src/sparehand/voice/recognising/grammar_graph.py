"""One strict word graph for Vosk: every phrase at no cost, and around them the talk that is none, at a price.

From wherever the talker is in a phrase, and after its end, a way without a word leads into a loop of common words.
What is said there is a decoy: it ends like a phrase, but it is none, so that talk has somewhere to go.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from heapq import heappop, heappush
from math import inf
from pathlib import Path

from sparehand.voice.phrases.spoken_numbers import DIGIT_WORDS
from sparehand.voice.phrases.word_graph import START, WordGraph
from sparehand.voice.recognising.decoys import Decoys
from sparehand.voice.recognising.openfst import WeightedArc, WordTables, write_acceptor

_NO_WORD = 0
_TERM = 12.0
"""A word that costs as much in the language at large is a term of the trade: what follows it is no ordinary talk."""
_HEARD_INTO_SILENCE = {"oh": 2.0}
"""What words cost in a phrase that are so short that they are easily heard where nothing is."""


@dataclass(frozen=True)
class DecoyCosts:
    """What leaving the phrases costs, in natural logarithms: at the start, inside a phrase, after a whole one.

    Inside and after, the words so far count too, by what they cost in the language at large: talk often goes on after
    "what is", hardly ever after "torque in newton". A word of the loop costs `word`. A word that sounds like one of a
    phrase costs `alike` and `rarity` times what it costs in the language at large: "quick" for "quiet" is likelier than
    "hart" for "that". Dearer decoys let more phrases through, meant or not.

    `number` is what a number costs that stands alone, or behind what is a whole phrase without it: noise, and the words
    of a radio, are easily taken for one.
    """

    at_start: float = 6.0
    inside: float = 6.0
    inside_by_rarity: float = 0.4
    after: float = 6.0
    after_by_rarity: float = 0.2
    word: float = 3.5
    alike: float = 0.4
    rarity: float = 0.7
    number: float = 3.0

    def leaving(self, state: int, graph: WordGraph, rarity: float) -> float:
        """What it costs to leave the phrases at `state`, before which stand words of that `rarity`."""
        if state == START:
            return self.at_start
        if state in graph.ends:
            return self.after + self.after_by_rarity * rarity
        return self.inside + self.inside_by_rarity * rarity


def write_grammar(
    path: Path,
    tables: WordTables,
    graph: WordGraph,
    call_word: str,
    decoys: Decoys,
    costs: DecoyCosts,
) -> None:
    """Write the grammar of `graph`, each text with or without `call_word` before it, and of `decoys` around it.

    Raises KeyError for a word that `tables` lacks.
    """
    states = 1 + max((arc.target for arc in graph.arcs), default=START)
    call = call_word.split()
    called = states + len(call) - 1
    loop = called + 1
    arcs: list[list[WeightedArc]] = [[] for _ in range(loop + 1)]
    numbers = graph.beginnings(DIGIT_WORDS)
    for arc in graph.arcs:
        cost = _HEARD_INTO_SILENCE.get(arc.word, 0.0) + (costs.number if arc in numbers else 0.0)
        arcs[arc.source].append(WeightedArc(tables.labels[arc.word], cost, arc.target))
    for state, leaving in _near_ways(graph, decoys).items():
        arcs[state] += [
            WeightedArc(tables.labels[word], costs.alike + costs.rarity * cost, target)
            for word, (cost, target) in leaving.items()
        ]
    arcs[called].extend(arcs[START])
    for place, (source, word) in enumerate(zip((START, *range(states, called)), call, strict=True)):
        arcs[source].append(WeightedArc(tables.labels[word], 0.0, states + place))
    rarities = _rarities(graph, decoys.cost)
    for state in range(loop):
        into = costs.leaving(state, graph, rarities.get(state, 0.0))
        if into < inf:
            arcs[state].append(WeightedArc(_NO_WORD, into, loop))
    arcs[loop] = [WeightedArc(tables.labels[word], costs.word, loop) for word in sorted(decoys.words)]
    ends = (START, called, loop, *graph.ends)
    write_acceptor(path, tables, arcs, dict.fromkeys(ends, 0.0))


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


def _near_ways(graph: WordGraph, decoys: Decoys) -> dict[int, dict[str, tuple[float, int]]]:
    """By state, the words that are no way on but sound like one, with their costs and where that one leads.

    What holds one of them is no phrase of the table, for no state has two ways on by one word.
    """
    before: dict[int, set[str | None]] = {START: {None}}
    for arc in graph.arcs:
        before.setdefault(arc.target, set()).add(arc.word)
    return {
        state: {
            near: (min(decoys.cost(said, near) for said in before[state]), target)
            for word, target in ways.items()
            for near in decoys.alikes.get(word, ())
            if near not in ways
        }
        for state, ways in graph.ways.items()
        if any(said is None or decoys.cost(None, said) < _TERM for said in before[state])
    }
