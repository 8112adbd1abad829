"""Names that must be said aloud: known to the recogniser, and not confused with each other."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from sparehand.procedures.findings import CheckFinding, Severity
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.model import Operation, Phase, Step
from sparehand.procedures.rules.walk import all_steps, finding
from sparehand.procedures.spoken_names import names_said
from sparehand.procedures.vehicle import Condition
from sparehand.procedures.ways import Way
from sparehand.procedures.yaml_text import Keys


@dataclass(frozen=True)
class NameJudge:
    """What a recogniser can tell of names: words it lacks, each with near ones, and pairs of names it would confuse."""

    unknown_words: Callable[[Collection[str]], Mapping[str, tuple[str, ...]]]
    sound_alikes: Callable[[Collection[str]], Collection[tuple[str, str]]]


class Said(NamedTuple):
    """A spoken name: its place in the file, the words, and the id that is meant."""

    keys: Keys
    name: str
    id: str


_CHOOSING: dict[str, tuple[str, ...]] = {
    "operations": ("spoken",),
    "phases": ("spoken",),
    "conditions": ("said", "said_when_over"),
    "ways": ("spoken",),
}
"""The kinds whose names choose or confirm something, with the fields that hold them; others are only asked about."""
_ASKING = ("fasteners", "parts", "steps")


def operations_without_spoken_name(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """An operation that cannot be chosen by voice."""
    for number, operation in enumerate(loaded.procedure.operations):
        if not operation.spoken:
            message = f"the operation '{operation.id}' has no spoken name, so it cannot be chosen by voice"
            remedy = "add `spoken` with two or three plain words"
            yield finding(loaded, ("operations", number), "no-spoken-name", "warning", message, remedy)


def spoken_names_twice(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A spoken name that means two things of one kind: an error where it chooses, else neither can be asked for."""
    for kind in (*_CHOOSING, *_ASKING):
        meant: dict[str, str] = {}
        for keys, name, id in _said(loaded, kind):
            if meant.setdefault(name, id) != id:
                message = f"'{name}' already means another of the {kind}"
                severity: Severity = "error" if kind in _CHOOSING else "warning"
                remedy = "choose another name" if kind in _CHOOSING else "add `spoken` with a name of its own"
                yield finding(loaded, keys, "spoken-name-twice", severity, message, remedy)


def names_hard_to_hear(loaded: LoadedProcedure, hearing: NameJudge) -> Iterator[CheckFinding]:
    """Words that the recogniser does not know, and names that it would confuse."""
    for kind in (*_CHOOSING, *_ASKING):
        names: dict[str, Said] = {}
        for said in _said(loaded, kind):
            names.setdefault(said.name, said)
        yield from _unknown(loaded, names, hearing)
        for one, other in hearing.sound_alikes(tuple(names)):
            later = max(one, other, key=lambda name: loaded.position(*names[name].keys))
            earlier = one if later == other else other
            if names[one].id != names[other].id:
                message = f"'{later}' sounds like '{earlier}'"
                remedy = "choose words that differ from their first sound on"
                yield finding(loaded, names[later].keys, "names-sound-alike", "warning", message, remedy)


def _unknown(loaded: LoadedProcedure, names: dict[str, Said], hearing: NameJudge) -> Iterator[CheckFinding]:
    words = {word for name in names for word in name.split()}
    unknown = hearing.unknown_words(words)
    for name, said in names.items():
        for word in name.split():
            if word in unknown:
                near = ", ".join(unknown[word])
                message = f"the recogniser does not know '{word}' in '{name}'"
                remedy = f"say it in other words, such as {near}" if near else "say it in other words"
                yield finding(loaded, said.keys, "word-not-known", "warning", message, remedy)


def _said(loaded: LoadedProcedure, kind: str) -> Iterator[Said]:
    if kind == "steps":
        yield from (said for visit in all_steps(loaded) for said in _given(visit.keys, visit.step))
        return
    if kind == "ways":
        for number, phase in enumerate(loaded.procedure.phases):
            for place, way in enumerate(phase.ways):
                yield from _given(("phases", number, "ways", place), way)
        return
    for number, item in enumerate(getattr(loaded.procedure, kind)):
        if kind in _CHOOSING:
            yield from (said for field in _CHOOSING[kind] for said in _given((kind, number), item, field))
        else:
            key = "spoken" if item.spoken else "name"
            yield from (Said((kind, number, key), name, item.id) for name in names_said(item))


def _given(keys: Keys, item: Operation | Phase | Step | Condition | Way, field: str = "spoken") -> Iterator[Said]:
    """The names that the file gives to be spoken."""
    for place, name in enumerate(getattr(item, field)):
        yield Said((*keys, field, place), " ".join(name.lower().split()), item.id)
