"""Which fields of a procedure name other things of it, and the same procedure with its ids called otherwise."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar

from sparehand.procedures.model import Procedure, Step
from sparehand.procedures.record import Record
from sparehand.procedures.vehicle import Gate

LISTS = (
    "operations",
    "phases",
    "fasteners",
    "parts",
    "consumables",
    "tools",
    "components",
    "conditions",
    "marks",
    "gates",
    "follow_ups",
)
"""The lists of a procedure whose entries have ids."""

STEP_LISTS = {
    "slackens": "fasteners",
    "removes": "fasteners",
    "fits": "fasteners",
    "tightens": "fasteners",
    "renews": "parts",
    "drains": "consumables",
    "fills": "consumables",
    "uses": "consumables",
    "tools": "tools",
    "takes_off": "components",
    "puts_on": "components",
}
STEP_SINGLES = {
    "makes_mark": "marks",
    "finds_mark": "marks",
    "establishes": "conditions",
    "ends": "conditions",
    "passes_gate": "gates",
}
_ELSEWHERE = {
    "phases": "phases",
    "after": "phases",
    "follow_ups": "follow_ups",
    "operations": "operations",
    "proposes": "operations",
    "held_by": "fasteners",
    "wrench": "tools",
    "condition": "conditions",
    "distance": "measure",
    "picture": "picture",
}
_NAMES = STEP_LISTS | STEP_SINGLES | _ELSEWHERE
"""By field, the list in which the thing is that it names, or what else it names of the file."""

Rename = Callable[[str, str], str]
"""Another name for the id of a list."""

R = TypeVar("R", bound=Record)


def with_ids(procedure: Procedure, renamed: Rename) -> Procedure:
    """The procedure with every id called otherwise but those of steps, which stand within their phase."""
    known = {one.id: kind for kind in ("fasteners", "components", "conditions") for one in getattr(procedure, kind)}

    def anew(record: R, kind: str) -> R:
        update = {field: value(field, getattr(record, field), kind) for field in record.model_fields_set}
        if isinstance(record, Gate):
            update["about"] = tuple(renamed(known[one], one) if one in known else one for one in record.about)
        if isinstance(record, Step):
            del update["id"]
            update.pop("was", None)
        return record.model_copy(update=update)

    def value(field: str, old: object, kind: str) -> object:
        if isinstance(old, tuple):
            return tuple(value(field, one, kind) for one in old)
        if isinstance(old, Record):
            return anew(old, field)
        named = kind if field in ("id", "was") else _NAMES.get(field)
        of_another = field == "proposes" and "." in str(old)
        return renamed(named, old) if named and isinstance(old, str) and not of_another else old

    lists = {kind: tuple(anew(one, kind) for one in getattr(procedure, kind)) for kind in LISTS}
    return procedure.model_copy(update=lists)
