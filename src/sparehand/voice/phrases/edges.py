"""Words of hesitation and politeness that people say before and after a phrase, and that change nothing."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import product

MOST_EDGE_WORDS = 2
"""So many may stand before a phrase, and so many after it."""


@dataclass(frozen=True)
class Edges:
    """The words that are passed over `before` a phrase, and those that are passed over `after` it."""

    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()

    @property
    def words(self) -> frozenset[str]:
        """All of them."""
        return frozenset((*self.before, *self.after))

    def inner(self, words: Sequence[str]) -> Iterator[tuple[str, ...]]:
        """`words`, then what is left of them without edges, those that lose fewest words first."""
        leading = _run(words, self.before)
        trailing = _run(words[::-1], self.after)
        for first, last in sorted(product(range(leading + 1), range(trailing + 1)), key=sum):
            if first + last < len(words) or not words:
                yield tuple(words[first : len(words) - last])

    def without_leading(self, words: Sequence[str]) -> Iterator[tuple[str, ...]]:
        """`words`, then what is left of them without the edges before."""
        return (tuple(words[first:]) for first in range(_run(words, self.before) + 1))


def _run(words: Sequence[str], among: Sequence[str]) -> int:
    """How many of the first words can be edges."""
    first = words[:MOST_EDGE_WORDS]
    return next((at for at, word in enumerate(first) if word not in among), len(first))
