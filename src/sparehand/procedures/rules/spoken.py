"""Names that must be said aloud: known to the recogniser, and not confused with each other."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass

from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.rules.walk import finding
from sparehand.procedures.yaml_text import Keys


@dataclass(frozen=True)
class NameJudge:
    """What a recogniser can tell of names: words it lacks, each with near ones, and pairs of names it would confuse."""

    unknown_words: Callable[[Collection[str]], Mapping[str, tuple[str, ...]]]
    sound_alikes: Callable[[Collection[str]], Collection[tuple[str, str]]]


_SPOKEN_FIELDS = {"operations": ("spoken",), "phases": ("spoken",), "conditions": ("said", "said_when_over")}

Spoken = dict[str, Keys]
"""Spoken names of one kind, each with its first place in the file."""


def operations_without_spoken_name(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """An operation that cannot be chosen by voice."""
    for number, operation in enumerate(loaded.procedure.operations):
        if not operation.spoken:
            message = f"the operation '{operation.id}' has no spoken name, so it cannot be chosen by voice"
            remedy = "add `spoken` with two or three plain words"
            yield finding(loaded, ("operations", number), "no-spoken-name", "warning", message, remedy)


def spoken_names_twice(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A spoken name that means two operations, two phases or two conditions."""
    for kind in _SPOKEN_FIELDS:
        seen: set[str] = set()
        for keys, name in _spoken(loaded, kind):
            if name in seen:
                message = f"'{name}' already means another of the {kind}"
                yield finding(loaded, keys, "spoken-name-twice", "error", message, "choose another name")
            seen.add(name)


def names_hard_to_hear(loaded: LoadedProcedure, hearing: NameJudge) -> Iterator[CheckFinding]:
    """Words that the recogniser does not know, and names that it would confuse."""
    for kind in _SPOKEN_FIELDS:
        names: Spoken = {}
        for keys, name in _spoken(loaded, kind):
            names.setdefault(name, keys)
        yield from _unknown(loaded, names, hearing)
        for one, other in hearing.sound_alikes(tuple(names)):
            later = max(one, other, key=lambda name: loaded.position(*names[name]))
            earlier = one if later == other else other
            message = f"'{later}' sounds like '{earlier}'"
            remedy = "choose words that differ from their first sound on"
            yield finding(loaded, names[later], "names-sound-alike", "warning", message, remedy)


def _unknown(loaded: LoadedProcedure, names: Spoken, hearing: NameJudge) -> Iterator[CheckFinding]:
    words = {word for name in names for word in name.split()}
    unknown = hearing.unknown_words(words)
    for name, keys in names.items():
        for word in name.split():
            if word in unknown:
                near = ", ".join(unknown[word])
                message = f"the recogniser does not know '{word}' in '{name}'"
                remedy = f"say it in other words, such as {near}" if near else "say it in other words"
                yield finding(loaded, keys, "word-not-known", "warning", message, remedy)


def _spoken(loaded: LoadedProcedure, kind: str) -> Iterator[tuple[Keys, str]]:
    for number, item in enumerate(getattr(loaded.procedure, kind)):
        for field in _SPOKEN_FIELDS[kind]:
            for place, name in enumerate(getattr(item, field)):
                yield (kind, number, field, place), " ".join(name.lower().split())
