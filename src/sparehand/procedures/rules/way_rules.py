"""The order of phases and the ways past them: no circle, and each way a real alternative."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.model import Phase
from sparehand.procedures.phase_order import in_order
from sparehand.procedures.rules.walk import finding
from sparehand.procedures.ways import Way
from sparehand.procedures.yaml_text import Keys


def phases_in_a_circle(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A phase that comes after itself, by way of others or at once."""
    before = {phase.id: {*phase.after} for phase in loaded.procedure.phases}
    for number, phase in enumerate(loaded.procedure.phases):
        if phase.id in _all_before(phase.id, before):
            message = f"the phase '{phase.id}' comes after itself"
            keys = ("phases", number, "after")
            yield finding(loaded, keys, "phases-in-a-circle", "error", message, "take one of them out of `after`")


def ways_out_of_place(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """Ways that leave no choice, that come too early, that differ in sides, or that the run takes anyhow."""
    procedure = loaded.procedure
    order = {phase.id: place for place, phase in enumerate(in_order(procedure.phases))}
    named = {id for operation in procedure.operations for id in operation.phases}
    taken: set[str] = set()
    for number, phase in enumerate(procedure.phases):
        if len(phase.ways) == 1:
            message = f"the phase '{phase.id}' offers one way, which is no choice"
            yield finding(
                loaded, ("phases", number, "ways"), "way-not-possible", "error", message, "add another way, or drop it"
            )
        for place, way in enumerate(phase.ways):
            yield from _way(loaded, phase, way, ("phases", number, "ways", place), order, named | taken)
            taken |= {*way.phases}


def _way(
    loaded: LoadedProcedure, phase: Phase, way: Way, keys: Keys, order: dict[str, int], elsewhere: set[str]
) -> Iterator[CheckFinding]:
    phases = {one.id: one for one in loaded.procedure.phases}
    for number, id in enumerate(way.phases):
        other = phases.get(id)
        if other is None:
            continue
        doubts = {
            f"'{id}' is part of an operation or of another way, so it is no choice": id in elsewhere,
            f"'{id}' comes before the phase that offers the way": order[id] <= order[phase.id],
            f"'{id}' is for each side and '{phase.id}' is not, or the other way round": other.sided != phase.sided,
        }
        for message in (words for words, is_so in doubts.items() if is_so):
            where = (*keys, "phases", number)
            yield finding(loaded, where, "way-not-possible", "error", message, "give the way phases of its own")


def _all_before(id: str, before: dict[str, set[str]]) -> set[str]:
    found: set[str] = set()
    new = set(before[id])
    while new:
        found |= new
        new = {earlier for one in new for earlier in before.get(one, ())} - found
    return found
