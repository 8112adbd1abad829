"""One strict word graph for Vosk: every phrase at no cost, and around them the talk that is none, at a price.

From wherever the talker is in a phrase, and after its end, a way without a word leads into a loop of common words.
What is said there is a decoy: it ends like a phrase, but it is none, so that talk has somewhere to go.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from pathlib import Path

from sparehand.voice.decoys import Decoys
from sparehand.voice.openfst import WeightedArc, WordTables, write_acceptor
from sparehand.voice.word_graph import START, WordGraph

_NO_WORD = 0
_TERM = 12.0
"""A word that costs as much in the language at large is a term of the trade: what follows it is no ordinary talk."""
_HEARD_INTO_SILENCE = {"oh": 2.0}
"""What words cost in a phrase that are so short that they are easily heard where nothing is."""


@dataclass(frozen=True)
class DecoyCosts:
    """What leaving the phrases costs, in natural logarithms: at the start, inside a phrase, after a whole one.

    A word of the loop costs `word`. A word that sounds like one of a phrase costs `alike` and `rarity` times what it
    costs in the language at large: "quick" for "quiet" is likelier than "hart" for "that". Dearer decoys let
    more phrases through, meant or not.
    """

    at_start: float = 6.0
    inside: float = 11.0
    after: float = 9.0
    word: float = 3.5
    alike: float = 1.2
    rarity: float = 0.7


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
    for arc in graph.arcs:
        arcs[arc.source].append(
            WeightedArc(tables.labels[arc.word], _HEARD_INTO_SILENCE.get(arc.word, 0.0), arc.target)
        )
    for state, leaving in _near_ways(graph, decoys).items():
        arcs[state] += [
            WeightedArc(tables.labels[word], costs.alike + costs.rarity * cost, target)
            for word, (cost, target) in leaving.items()
        ]
    arcs[called].extend(arcs[START])
    for place, (source, word) in enumerate(zip((START, *range(states, called)), call, strict=True)):
        arcs[source].append(WeightedArc(tables.labels[word], 0.0, states + place))
    for state in range(loop):
        into = costs.at_start if state == START else costs.after if state in graph.ends else costs.inside
        if into < inf:
            arcs[state].append(WeightedArc(_NO_WORD, into, loop))
    arcs[loop] = [WeightedArc(tables.labels[word], costs.word, loop) for word in sorted(decoys.words)]
    ends = (START, called, loop, *graph.ends)
    write_acceptor(path, tables, arcs, dict.fromkeys(ends, 0.0))


def _near_ways(graph: WordGraph, decoys: Decoys) -> dict[int, dict[str, tuple[float, int]]]:
    """By state, the words that are no way on but sound like one, with their costs and where that one leads.

    What holds one of them is no phrase of the table, for no state has two ways on by one word.
    """
    leaving: dict[int, dict[str, int]] = {}
    before: dict[int, set[str | None]] = {START: {None}}
    for arc in graph.arcs:
        leaving.setdefault(arc.source, {})[arc.word] = arc.target
        before.setdefault(arc.target, set()).add(arc.word)
    return {
        state: {
            near: (min(decoys.cost(said, near) for said in before[state]), target)
            for word, target in ways.items()
            for near in decoys.alikes.get(word, ())
            if near not in ways
        }
        for state, ways in leaving.items()
        if any(said is None or decoys.cost(None, said) < _TERM for said in before[state])
    }
