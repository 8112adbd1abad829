"""What talk is made of: the commonest words of the language, and words that sound like those of the phrases."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from sparehand.voice.numbers import DIGIT_WORDS
from sparehand.voice.sound_alikes import Pronunciations, read_pronunciations
from sparehand.voice.word_graph import WordGraph

COMMON_WORDS = 1000
_PLAIN = re.compile(r"[a-z][a-z']*")


@dataclass(frozen=True)
class Decoys:
    """`words` with their costs in the language at large, and for words of the phrases those that sound like them."""

    words: Mapping[str, float]
    alikes: Mapping[str, tuple[str, ...]]


def decoys_for(graph: WordGraph, costs: Mapping[str, float], dictionary: Path | None = None) -> Decoys:
    """The decoys around `graph`, of words that are keys of `costs` (natural logarithms, the smaller the commoner).

    Digits have no sound-alikes: a number is read back anyhow. `dictionary` is one in CMU's form, by default the one
    that comes with pocketsphinx.
    """
    plain = {word: cost for word, cost in costs.items() if _PLAIN.fullmatch(word)}
    common = sorted(plain, key=lambda word: plain[word])[:COMMON_WORDS]
    dearest = max(plain[word] for word in common)
    words = {word: plain.get(word, dearest) for word in sorted({*common, *graph.words})}
    known = Pronunciations(read_pronunciations(dictionary or _dictionary(), {*plain, *graph.words}), plain)
    return Decoys(words, {word: known.alikes(word) for word in sorted(graph.words - DIGIT_WORDS.keys())})


def _dictionary() -> Path:
    from pocketsphinx import get_model_path

    return Path(get_model_path("en-us")) / "cmudict-en-us.dict"
