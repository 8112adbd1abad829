"""Which phases a run needs and in which order: what comes `after` what, and which way was chosen past a phase."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from itertools import product

from sparehand.procedures.model import Phase, Procedure, Side
from sparehand.procedures.phase_key import PhaseKey
from sparehand.procedures.ways import Way

Ways = Mapping[PhaseKey, str]
"""The id of the way chosen, by the phase that offers it."""


def in_order(phases: Iterable[Phase]) -> tuple[Phase, ...]:
    """The phases in the order given, but each behind those of them that it comes `after`.

    Those that wait for each other in a circle keep their order; `check` refuses them.
    """
    left, done = list(phases), list[Phase]()
    while left:
        waiting = {phase.id for phase in left}
        ready = (phase for phase in left if not waiting & ({*phase.after} - {phase.id}))
        chosen = next(ready, left[0])
        left.remove(chosen)
        done.append(chosen)
    return tuple(done)


def phases_of(procedure: Procedure, operations: Iterable[str]) -> frozenset[str]:
    """The ids of all phases that these operations may need, those of every way among them."""
    wanted = {id for operation in operations for id in procedure.operation(operation).phases}
    return frozenset(_with_ways(procedure, wanted))


def is_taken(procedure: Procedure, key: PhaseKey, ways: Ways | None) -> bool:
    """Whether a run goes through this phase by the `ways` chosen; None stands for all ways at once."""
    if ways is None:
        return True
    for offering, way in _leading_to(procedure, key.phase):
        places = [PhaseKey(offering.id, side) for side in _sides(procedure, offering, key.side)]
        if not any(is_taken(procedure, place, ways) and way_at(offering, place, ways) == way for place in places):
            return False
    return True


def way_at(offering: Phase, place: PhaseKey, ways: Ways) -> Way:
    """The way chosen at a phase that offers some; the first one until somebody has chosen."""
    return next((way for way in offering.ways if way.id == ways.get(place)), offering.ways[0])


def choices_before(procedure: Procedure, key: PhaseKey) -> tuple[PhaseKey, ...]:
    """The choices that lead to a phase: its own, and those of the phases whose way it is part of."""
    own = (key,) if procedure.phase(key.phase).ways else ()
    leading = (
        PhaseKey(offering.id, side)
        for offering, _ in _leading_to(procedure, key.phase)
        for side in _sides(procedure, offering, key.side)
    )
    return (*own, *leading)


def combinations(procedure: Procedure, operation: str) -> Iterator[frozenset[str]]:
    """The phases of an operation by each combination of its ways, the same on every side."""
    wanted = phases_of(procedure, [operation])
    offering = [phase for phase in procedure.phases if phase.ways and phase.id in wanted]
    for chosen in product(*(phase.ways for phase in offering)):
        others = {id for phase, taken in zip(offering, chosen, strict=True) for id in _not_taken(phase, taken)}
        yield wanted - others


def _not_taken(offering: Phase, taken: Way) -> set[str]:
    return {id for way in offering.ways if way != taken for id in way.phases} - {*taken.phases}


def _with_ways(procedure: Procedure, wanted: set[str]) -> set[str]:
    more = {id for phase in procedure.phases if phase.id in wanted for way in phase.ways for id in way.phases} - wanted
    return _with_ways(procedure, wanted | more) if more else wanted


def _leading_to(procedure: Procedure, phase: str) -> Iterator[tuple[Phase, Way]]:
    return ((offering, way) for offering in procedure.phases for way in offering.ways if phase in way.phases)


def _sides(procedure: Procedure, offering: Phase, side: Side | None) -> tuple[Side | None, ...]:
    """The sides on which the choice for a phase on `side` is made."""
    return (None,) if not offering.sided else (side,) if side else offering.only_sides or procedure.sides
