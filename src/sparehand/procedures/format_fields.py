"""Which fields came with format 2, so that a file says by its format which programs can read it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from copy import deepcopy
from typing import Any

from sparehand.procedures.model import Fastener, Procedure, Stage, Step
from sparehand.procedures.record import Record
from sparehand.procedures.vehicle import Condition, Gate
from sparehand.procedures.yaml_text import Keys

LEVEL_OF: dict[str, int] = {
    **dict.fromkeys(("why", "where", "compare", "after", "ways", "proposes", "borrowed", "counts_tools"), 2),
    **dict.fromkeys(("picture", "axle", "if_sides"), 3),
}
"""With which level a field came; those that are not here are of level 1."""
LEVEL = max(LEVEL_OF.values())
"""The level of fields that are known here."""

NEW_IN_FORMAT_2: dict[type[Record], tuple[str, ...]] = {
    Procedure: ("components",),
    Fastener: ("low_torque",),
    Stage: ("vehicle",),
    Step: ("takes_off", "puts_on", "raises", "lowers"),
    Condition: ("said", "said_when_over", "ends_when_raised"),
    Gate: ("about",),
}
"""Fields that a program which knows only format 1 refuses, as it does an inch thread."""


def fields_of_format_2(procedure: Procedure) -> Iterator[Keys]:
    """The place of each value that format 1 has no field for."""
    yield from _newer(procedure, ())
    yield from _newer_in(procedure.conditions, ("conditions",))
    yield from _newer_in(procedure.gates, ("gates",))
    for number, phase in enumerate(procedure.phases):
        yield from _newer_in(phase.steps, ("phases", number, "steps"))
    yield from _newer_in(procedure.fasteners, ("fasteners",))
    for number, fastener in enumerate(procedure.fasteners):
        if fastener.thread is not None and not fastener.thread.startswith("M"):
            yield ("fasteners", number, "thread")
        yield from _newer_in(fastener.tightening, ("fasteners", number, "tightening"))


def _newer_in(records: Sequence[Record], keys: Keys) -> Iterator[Keys]:
    for number, record in enumerate(records):
        yield from _newer(record, (*keys, number))


def _newer(record: Record, keys: Keys) -> Iterator[Keys]:
    for name in NEW_IN_FORMAT_2[type(record)]:
        if name in record.model_fields_set:
            yield (*keys, name)


def without(data: Any, places: Iterable[Keys]) -> Any:
    """A copy of the data of a file without the fields at those places."""
    copied = deepcopy(data)
    for *inner, field in places:
        holder = copied
        for key in inner:
            holder = holder[key]
        holder.pop(field, None)
    return copied
