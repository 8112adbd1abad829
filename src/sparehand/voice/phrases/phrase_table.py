"""The phrase table: which words mean which command, in which situation. The words themselves are data."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, field, fields, replace
from hashlib import sha256
from typing import Any, Literal

from sparehand.job.commands import COMMANDS, Command
from sparehand.job.situation import SITUATIONS, Situation
from sparehand.voice.phrases.edges import Edges
from sparehand.voice.phrases.slots import NUMBERS, Slot, slot_of, slot_strand, slot_value
from sparehand.voice.phrases.spoken_numbers import words_from_digits, words_from_number
from sparehand.voice.phrases.word_graph import Strand, WordGraph, join, strand_of_texts

NameKind = Literal[
    "operations",
    "work",
    "phases",
    "technicians",
    "wrenches",
    "conditions",
    "endings",
    "fasteners",
    "components",
    "parts",
    "places",
    "ways",
    "things",
]

_NAME_FIELD: dict[NameKind, str] = {
    "operations": "operation",
    "work": "operation",
    "phases": "phase",
    "technicians": "technician",
    "wrenches": "wrench",
    "conditions": "condition",
    "endings": "condition",
    "fasteners": "fastener",
    "components": "component",
    "parts": "part",
    "places": "place",
    "ways": "way",
    "things": "thing",
}
_TOKEN = re.compile(r"[a-z']+|\d+(?:\.\d+)?", re.ASCII)
_LONGEST_TEXT = 500
_MOST_FIGURES = 12
"""No phrase is longer, and no number that is said as one."""


@dataclass(frozen=True)
class SpokenNames:
    """The names that a procedure, the people and the wrenches of a shop add: what is said, and the id that is meant.

    `work` are the operations that may join a job, of other procedures too.
    `conditions` are the words that claim one, `endings` those that end it; `places` are phases and steps, by the ids
    of `procedures.spoken_names`.
    """

    operations: Mapping[str, str]
    phases: Mapping[str, str]
    technicians: Mapping[str, str] = field(default_factory=dict)
    wrenches: Mapping[str, str] = field(default_factory=dict)
    conditions: Mapping[str, str] = field(default_factory=dict)
    endings: Mapping[str, str] = field(default_factory=dict)
    fasteners: Mapping[str, str] = field(default_factory=dict)
    components: Mapping[str, str] = field(default_factory=dict)
    parts: Mapping[str, str] = field(default_factory=dict)
    places: Mapping[str, str] = field(default_factory=dict)
    ways: Mapping[str, str] = field(default_factory=dict)
    things: Mapping[str, str] = field(default_factory=dict)
    work: Mapping[str, str] = field(default_factory=dict)

    def without(self, words: Collection[str]) -> SpokenNames:
        """The same without the fasteners, components and parts whose names hold one of `words`."""
        fasteners, components, parts, things = (
            {name: id for name, id in kind.items() if not set(name.split()) & set(words)}
            for kind in (self.fasteners, self.components, self.parts, self.things)
        )
        return replace(self, fasteners=fasteners, components=components, parts=parts, things=things)


@dataclass(frozen=True)
class Pattern:
    """One way of saying something. Its slots are those of `slots`.

    `fields` are the fixed values of the command, `names` says what `{name}` stands for, `main` marks the wording that
    help names, `among_talk` one that counts while people talk to each other, `lasting` what is asked back when it was
    heard with little confidence, and `decides` an answer that is taken as a person's word on the vehicle, which must be
    surest.
    """

    phrase: str
    command: str
    does: str
    situations: frozenset[Situation]
    fields: tuple[tuple[str, Any], ...] = ()
    names: NameKind | None = None
    main: bool = True
    among_talk: bool = True
    lasting: bool = False
    decides: bool = False

    @property
    def parts(self) -> tuple[str, ...]:
        """Its words and slots, in order."""
        return tuple(self.phrase.split())

    @property
    def slots(self) -> tuple[Slot, ...]:
        """Its slots, in order."""
        return tuple(slot for part in self.parts if (slot := slot_of(part)))

    @property
    def holds_number(self) -> bool:
        """Whether a number stands in it, which is spoken slower and misheard more easily than a name."""
        return any(slot in NUMBERS for slot in self.slots)

    @property
    def meaning(self) -> tuple[object, ...]:
        """What two wordings share when they mean the same."""
        return (self.command, self.fields, self.names, self.slots)

    def build(self, values: Mapping[Slot, object]) -> Command:
        """The command with its fixed fields and what was said in the slots."""
        said = {_NAME_FIELD[self.names] if slot == "name" and self.names else slot: values[slot] for slot in values}
        kind: Callable[..., Command] = COMMANDS[self.command]
        return kind(**dict(self.fields), **said)


@dataclass(frozen=True)
class PhraseTable:
    """Everything that can be said. `pronunciations` are for words that a dictionary lacks, in CMU phones."""

    patterns: tuple[Pattern, ...]
    call_word: str
    names: SpokenNames = field(default=SpokenNames({}, {}), hash=False)
    pronunciations: Mapping[str, str] = field(default_factory=dict, hash=False)
    edges: Edges = field(default=Edges())
    _graphs: dict[frozenset[Situation], WordGraph] = field(default_factory=dict, init=False, repr=False, compare=False)

    def graph(self, situations: Collection[Situation]) -> WordGraph:
        """Every text that counts in any of `situations`, slots spelled out, without edges; ends index `patterns`."""
        wanted = frozenset(situations)
        if wanted not in self._graphs:
            self._graphs[wanted] = self._build_graph(wanted)
        return self._graphs[wanted]

    def match(self, text: str, situations: Collection[Situation]) -> tuple[Pattern, Command] | None:
        """The pattern and the command that `text` means in any of `situations`, or None.

        Numbers may be in words, as they are heard, or in figures, as they are typed. Edges are passed over.
        """
        graph = self.graph(situations)
        for words in (inner for spelled in _spellings(text) for inner in self.edges.inner(spelled)):
            for index in graph.meanings(words):
                pattern = self.patterns[index]
                values = self._values(pattern.parts, words, pattern)
                if values is not None:
                    return pattern, pattern.build(values)
        return None

    def command_for(self, text: str, situations: Collection[Situation]) -> Command | None:
        """The command that `text` means in any of `situations`, or None."""
        matched = self.match(text, situations)
        return matched[1] if matched else None

    def may_go_on(self, text: str, situations: Collection[Situation]) -> bool:
        """Whether more words could follow `text` and make another phrase of it; an edge makes none."""
        graph = self.graph(situations)
        return any(graph.next_words(words) for words in self.edges.without_leading(text.split()))

    def words(self) -> frozenset[str]:
        """Every word that can be said, the call word's included."""
        return self.graph(SITUATIONS).words | self.edges.words | frozenset(self.call_word.split())

    def with_names(self, names: SpokenNames) -> PhraseTable:
        """The same table with the names of a procedure."""
        return replace(self, names=_plain_names(names))

    @property
    def sha256(self) -> str:
        """A hash of everything that can be said, by which what is made from the table can be kept."""
        content = (self.patterns, self.call_word, self.names, sorted(self.pronunciations.items()), self.edges)
        ordered = [sorted(pattern.situations) for pattern in self.patterns]
        stripped = tuple(replace(pattern, situations=frozenset()) for pattern in content[0])
        return sha256(repr((stripped, ordered, *content[1:])).encode()).hexdigest()

    def names_for(self, pattern: Pattern) -> Mapping[str, str]:
        """What `{name}` can be in `pattern`: what is said, and the id that is meant."""
        names: Mapping[str, str] = getattr(self.names, pattern.names) if pattern.names else {}
        return names

    def _build_graph(self, situations: frozenset[Situation]) -> WordGraph:
        chains = [self._chain(pattern) if pattern.situations & situations else _NEVER for pattern in self.patterns]
        return join(chains)

    def _chain(self, pattern: Pattern) -> tuple[Strand, ...]:
        names = self.names_for(pattern)
        if "name" in pattern.slots and not names:
            return _NEVER
        return tuple(
            slot_strand(slot, names) if (slot := slot_of(part)) else strand_of_texts([[part]]) for part in pattern.parts
        )

    def _values(self, parts: tuple[str, ...], words: tuple[str, ...], pattern: Pattern) -> dict[Slot, object] | None:
        """What stands in each slot if `words` fit `parts`; an earlier slot takes as little as it can."""
        if not parts:
            return None if words else {}
        slot = slot_of(parts[0])
        if slot is None:
            return self._values(parts[1:], words[1:], pattern) if words[:1] == parts[:1] else None
        for length in range(1, len(words) + 1):
            value = slot_value(slot, words[:length], self.names_for(pattern))
            rest = self._values(parts[1:], words[length:], pattern) if value is not None else None
            if rest is not None:
                return {slot: value, **rest}
        return None


_NEVER = (strand_of_texts([]),)


def _plain_names(names: SpokenNames) -> SpokenNames:
    return SpokenNames(**{kind.name: _plain(getattr(names, kind.name)) for kind in fields(names)})


def _plain(mapping: Mapping[str, str]) -> dict[str, str]:
    return {" ".join(words): id for said, id in mapping.items() if (words := next(_spellings(said), ()))}


def _spellings(text: str) -> Iterator[tuple[str, ...]]:
    """The words of `text` in small letters, figures first as numbers are said, then digit by digit."""
    if len(text) > _LONGEST_TEXT:
        return
    tokens = _TOKEN.findall(text.lower())
    numerals = any(token[0].isdigit() for token in tokens)
    if not numerals:
        yield tuple(tokens)
        return
    if all("." not in token and len(token) <= _MOST_FIGURES for token in tokens if token[0].isdigit()):
        yield tuple(
            word for token in tokens for word in (words_from_number(int(token)) if token[0].isdigit() else (token,))
        )
    yield tuple(word for token in tokens for word in (words_from_digits(token) if token[0].isdigit() else (token,)))
