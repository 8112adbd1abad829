"""What the things and places of a procedure are called aloud, so that they can be asked for by name."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator

from sparehand.procedures.labels import plural_of
from sparehand.procedures.model import Fastener, Item, Procedure
from sparehand.procedures.phase_key import joined_id
from sparehand.procedures.ways import Way


def names_said(thing: Fastener | Item) -> tuple[str, ...]:
    """The names of a fastener or a part aloud: as the file gives them, else its name, for several too."""
    names = (thing.name, plural_of(thing)) if thing.quantity > 1 else (thing.name,)
    return tuple(dict.fromkeys(map(plain_words, thing.spoken or names)))


def plain_words(name: str) -> str:
    """A name as it is said: small letters, no signs; what stands in brackets is left out."""
    return " ".join(re.findall(r"[a-z0-9']+", re.sub(r"\(.*?\)", "", name.lower())))


def names_of(things: Iterable[Fastener | Item]) -> dict[str, str]:
    """What is said, and the id that is meant; a name that two things share means neither."""
    return _of_one_meaning((name, thing.id) for thing in things for name in names_said(thing))


def names_of_components(procedure: Procedure) -> dict[str, str]:
    """The names of components aloud, and the id that is meant."""
    return _of_one_meaning((plain_words(one.name), one.id) for one in procedure.components)


def names_of_places(procedure: Procedure) -> dict[str, str]:
    """The spoken names of phases and steps: "phase-id" or "phase-id:step-id"."""
    return _of_one_meaning(_places(procedure))


def names_of_ways(procedure: Procedure) -> dict[str, str]:
    """The spoken names of the ways past phases, and the id that is meant; else their titles."""
    ways = (way for phase in procedure.phases for way in phase.ways)
    return _of_one_meaning((plain_words(name), way.id) for way in ways for name in way.spoken or (way.title,))


def names_of_work(procedure: Procedure, others: Iterable[Procedure] = ()) -> dict[str, str]:
    """The names aloud of the operations that may join a run, those of `others` by the ids that they have in it then."""
    own = _of_one_meaning(
        (name, joined_id(other.id, one.id)) for other in others for one in other.operations for name in one.spoken
    )
    return own | {name: one.id for one in procedure.operations for name in one.spoken}


def names_of_things(procedure: Procedure) -> dict[str, str]:
    """The names of fasteners, parts and components aloud, and the id that is meant."""
    fasteners = [(name, one.id) for one in procedure.fasteners for name in names_said(one)]
    parts = [(name, one.id) for one in procedure.parts for name in names_said(one)]
    return _of_one_meaning((*fasteners, *parts, *names_of_components(procedure).items()))


def way_said(way: Way) -> str:
    """What a way is called aloud."""
    return plain_words((*way.spoken, way.title)[0])


def _places(procedure: Procedure) -> Iterator[tuple[str, str]]:
    for phase in procedure.phases:
        yield from ((plain_words(name), phase.id) for name in phase.spoken)
        for step in phase.steps:
            yield from ((plain_words(name), f"{phase.id}:{step.id}") for name in step.spoken)


def _of_one_meaning(named: Iterable[tuple[str, str]]) -> dict[str, str]:
    meanings: dict[str, set[str]] = {}
    for name, id in named:
        meanings.setdefault(name, set()).add(id)
    return {name: next(iter(ids)) for name, ids in meanings.items() if name and len(ids) == 1}
