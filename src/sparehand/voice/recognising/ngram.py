"""What words cost in the language at large, as the model's own grammar has it.

That grammar is an OpenFst machine of type "ngram": after the header and the word tables come the counts of contexts,
of words after them and of ends, three bit strings that say which belong together (Sorensen and Allauzen, "Unary data
structures for language models", Interspeech 2011), the words, and their costs as natural logarithms.
"""

from __future__ import annotations

import struct
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sparehand.ground.errors import InputError
from sparehand.voice.recognising.openfst import WordTables, content_after_tables

_COUNTS = struct.Struct("<3Q")
_BITS_A_GROUP = 64


class WordCosts:
    """Costs of single words and of words after another. Raises InputError for a grammar of another type."""

    def __init__(self, path: Path, tables: WordTables) -> None:
        content, at = content_after_tables(path, tables, "ngram")
        self._labels = tables.labels
        try:
            self._read(content, at)
        except (struct.error, ValueError, IndexError) as error:
            raise InputError(f"{path}: the grammar is cut short; install the model again") from error

    @cached_property
    def alone(self) -> dict[str, float]:
        """What each word costs by itself: the smaller, the commoner."""
        words, costs = self._followers(0)
        by_label = dict(zip(words.tolist(), costs.tolist(), strict=True))
        return {word: by_label[label] for word, label in self._labels.items() if label in by_label}

    def after(self, before: str | None, word: str) -> float:
        """What `word` costs after `before`, or by itself where that is None. Raises KeyError for an unknown word."""
        context = self._contexts.get(self._labels[before]) if before else None
        if context is None:
            return self.alone[word]
        words, costs = self._followers(context)
        label = self._labels[word]
        at = int(np.searchsorted(words, label))
        if at < len(words) and words[at] == label:
            return float(costs[at])
        return float(self._backoffs[context]) + self.alone[word]

    def _read(self, content: bytes, at: int) -> None:
        contexts, followers, ends = _COUNTS.unpack_from(content, at)
        at += _COUNTS.size
        tree, at = _bits(content, at, 2 * contexts + 1)
        belonging, at = _bits(content, at, followers + contexts + 1)
        _, at = _bits(content, at, contexts)
        context_words, at = _numbers(content, at, "<i4", contexts + 1)
        self._words, at = _numbers(content, at, "<i4", followers)
        self._backoffs, at = _numbers(content, at, "<f4", contexts + 1)
        _, at = _numbers(content, at, "<f4", ends)
        self._costs, at = _numbers(content, at, "<f4", followers)
        # A zero ends each context's ones; the contexts of one word are the children of the first, empty one.
        self._starts = np.flatnonzero(belonging == 0) - np.arange(contexts + 1)
        one_word = int(np.flatnonzero(tree == 0)[1]) - 2
        self._contexts = {int(label): number for number, label in enumerate(context_words[1 : one_word + 1], start=1)}

    def _followers(self, context: int) -> tuple[NDArray[np.int32], NDArray[np.float32]]:
        part = slice(self._starts[context], self._starts[context + 1])
        return self._words[part], self._costs[part]


def _bits(content: bytes, at: int, count: int) -> tuple[NDArray[np.uint8], int]:
    size = (count + _BITS_A_GROUP - 1) // _BITS_A_GROUP * _BITS_A_GROUP // 8
    packed = np.frombuffer(content, np.uint8, size, at)
    return np.unpackbits(packed, bitorder="little")[:count], at + size


def _numbers(content: bytes, at: int, kind: str, count: int) -> tuple[NDArray[Any], int]:
    numbers = np.frombuffer(content, kind, count, at)
    return numbers, at + numbers.nbytes
