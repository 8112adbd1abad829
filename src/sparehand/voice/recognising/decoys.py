"""What talk is made of: the commonest words of the language, and words that sound like those of the phrases."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from sparehand.voice.phrases.spoken_numbers import DIGIT_WORDS, POINT_WORDS
from sparehand.voice.phrases.word_graph import WordGraph
from sparehand.voice.recognising.near_words import Pronunciations, read_pronunciations
from sparehand.voice.recognising.ngram import WordCosts

COMMON_WORDS = 1000
_PLAIN = re.compile(r"[a-z][a-z']*")


@dataclass(frozen=True)
class Decoys:
    """The words of any talk; and for words of the phrases, those that sound alike.

    `cost` tells what a word costs in the language at large after the one before it, if there is one.
    """

    words: frozenset[str]
    alikes: Mapping[str, tuple[str, ...]]
    cost: Callable[[str | None, str], float]


def decoys_for(graph: WordGraph, costs: WordCosts, dictionary: Path | None = None) -> Decoys:
    """The decoys around `graph`, of words that `costs` knows.

    Digits have no sound-alikes: a number is read back anyhow. `dictionary` is one in CMU's form, by default the one
    that comes with pocketsphinx.
    """
    plain = {word: cost for word, cost in costs.alone.items() if _PLAIN.fullmatch(word)}
    common = sorted(plain, key=lambda word: plain[word])[:COMMON_WORDS]
    known = Pronunciations(read_pronunciations(dictionary or _dictionary(), {*plain, *graph.words}), plain)
    sounding = sorted(graph.words - {*DIGIT_WORDS, *POINT_WORDS})
    return Decoys(frozenset({*common, *graph.words}), {word: known.alikes(word) for word in sounding}, costs.after)


def _dictionary() -> Path:
    from pocketsphinx import get_model_path

    return Path(get_model_path("en-us")) / "cmudict-en-us.dict"
