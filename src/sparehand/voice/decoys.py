"""The words of talk that means nothing to the bench: the commonest of the language, and those of the phrases."""

from __future__ import annotations

import re
from collections.abc import Mapping

from sparehand.voice.word_graph import WordGraph

COMMON_WORDS = 1000
_PLAIN = re.compile(r"[a-z][a-z']*")


def decoy_words(costs: Mapping[str, float], graph: WordGraph) -> dict[str, float]:
    """The decoys with their costs in the language at large: COMMON_WORDS of `costs`, and every word of `graph`."""
    plain = (word for word in costs if _PLAIN.fullmatch(word))
    common = sorted(plain, key=lambda word: costs[word])[:COMMON_WORDS]
    dearest = max(costs[word] for word in common)
    return {word: costs.get(word, dearest) for word in sorted({*common, *graph.words})}
