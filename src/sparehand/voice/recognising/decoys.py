"""What talk is made of: the commonest words of the language, and words that sound like those of the phrases."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from itertools import chain
from pathlib import Path

from sparehand.voice.phrases.spoken_numbers import DIGIT_WORDS, POINT_WORDS
from sparehand.voice.phrases.word_graph import START, WordGraph
from sparehand.voice.recognising.near_words import Pronunciations, read_pronunciations
from sparehand.voice.recognising.ngram import WordCosts

COMMON_WORDS = 1000
_PLAIN = re.compile(r"[a-z][a-z']*")


NEGATIONS = frozenset(("no", "not", "never", "don't", "isn't", "doesn't", "can't", "without", "stop"))
"""Before or inside a phrase these make it its opposite."""
NEGATED = {"is": "isn't", "was": "wasn't"}
INSERTED = frozenset(("to", "of"))
"""Small words that make another phrase of one: "time to check" is no "time check"."""
_OPPOSED = (
    ("start", "stop", "end", "cancel"), ("begin", "stop"), ("good", "bad", "worn", "broken", "gone", "replace"),
    ("on", "off"), ("up", "down"), ("open", "close"), ("new", "old", "used"), ("passed", "failed"),
    ("made", "missing"), ("found", "lost", "gone"), ("tight", "loose"), ("fitted", "missing", "ordered", "removed"),
    ("left", "right"), ("front", "rear"), ("done", "wrong"), ("is", "was"),
    ("keep", "drop"), ("joins", "leaves"), ("approved", "declined"), ("allows", "forbids"), ("next", "last"),
)  # fmt: skip
OPPOSITES = {
    word: frozenset(other for group in _OPPOSED if word in group for other in group if other != word)
    for word in frozenset(chain.from_iterable(_OPPOSED))
}
"""A phrase with such a word in place of its own means something else, and mostly nothing."""


@dataclass(frozen=True)
class DecoyCosts:
    """What leaving the phrases costs, in natural logarithms: at the start, inside a phrase, after a whole one.

    Inside and after, the words so far count too, by what they cost in the language at large: talk often goes on after
    "what is", hardly ever after "torque in newton". A word of the loop costs `word`. A word that sounds like one of a
    phrase costs `alike` and `rarity` times what it costs in the language at large: "quick" for "quiet" is likelier than
    "hart" for "that". Dearer decoys let more phrases through, meant or not.

    `opposite` is what a word of opposite meaning costs in a phrase, and a negation before it; inside, where a breath is
    easily heard as "no", how rare it is there counts too; `inserted` is what little is
    easily heard too much costs, "to" in between or "isn't" for "is". `part` is what a phrase costs
    whose beginning or end is missing, `edge` what a word of hesitation or politeness costs around a phrase. `number` is
    what a number costs that stands alone, or behind what is a whole phrase without it: noise and a radio are easily
    taken for one.
    """

    at_start: float = 6.0
    inside: float = 6.0
    inside_by_rarity: float = 0.4
    after: float = 6.0
    after_by_rarity: float = 0.2
    word: float = 3.5
    alike: float = 0.4
    rarity: float = 0.7
    opposite: float = 2.5
    opposite_by_rarity: float = 0.4
    inserted: float = 4.0
    part: float = 7.0
    number: float = 3.0
    edge: float = 1.5

    def leaving(self, state: int, graph: WordGraph, rarity: float) -> float:
        """What it costs to leave the phrases at `state`, before which stand words of that `rarity`."""
        if state == START:
            return self.at_start
        if state in graph.ends:
            return self.after + self.after_by_rarity * rarity
        return self.inside + self.inside_by_rarity * rarity


@dataclass(frozen=True)
class Decoys:
    """The words of any talk; and for words of the phrases, those that sound alike.

    `cost` tells what a word costs in the language at large after the one before it, if there is one; `sounds` how
    words sound, where that is known.
    """

    words: frozenset[str]
    alikes: Mapping[str, tuple[str, ...]]
    cost: Callable[[str | None, str], float]
    sounds: Pronunciations | None = None


def decoys_for(graph: WordGraph, costs: WordCosts, dictionary: Path | None = None) -> Decoys:
    """The decoys around `graph`, of words that `costs` knows.

    Digits have no sound-alikes: a number is read back anyhow. `dictionary` is one in CMU's form, by default the one
    that comes with pocketsphinx.
    """
    plain = _plain(costs)
    common = sorted(plain, key=lambda word: plain[word])[:COMMON_WORDS]
    known = Pronunciations(read_pronunciations(dictionary or _dictionary(), {*plain, *graph.words}), plain)
    alikes = {word: known.alikes(word) for word in sorted(graph.words - {*DIGIT_WORDS, *POINT_WORDS})}
    return Decoys(frozenset({*common, *graph.words}), alikes, costs.after, known)


def all_sounds(words: Collection[str], costs: WordCosts) -> Pronunciations:
    """How `words` and all that `costs` knows sound, ready to be compared, however rare they are."""
    plain = _plain(costs)
    return Pronunciations(read_pronunciations(_dictionary(), {*plain, *words}), plain, len(plain))


def _plain(costs: WordCosts) -> dict[str, float]:
    return {word: cost for word, cost in costs.alone.items() if _PLAIN.fullmatch(word)}


def _dictionary() -> Path:
    from pocketsphinx import get_model_path

    return Path(get_model_path("en-us")) / "cmudict-en-us.dict"
