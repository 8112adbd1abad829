"""Wheels, brakes and supports that an operation touches need a gate: a question before the vehicle moves.

Common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.rules.telling import is_support, wheel_fasteners
from sparehand.procedures.rules.walk import Visit, finding, journeys
from sparehand.procedures.vehicle import Gate
from sparehand.procedures.yaml_text import Keys

_ASKS = {
    "wheels": re.compile(r"\bwheels?\b|\blug\b", re.IGNORECASE),
    "brakes": re.compile(r"\bpedal\b|(?<!parking )(?<!hand )\bbrakes?\b", re.IGNORECASE),
    "supports": re.compile(r"\b(?:jack|stand|beam|support|prop|hoist|crane|trestle)s?\b", re.IGNORECASE),
}
_BRAKE_PARTS = re.compile(
    r"\bcall?ipers?\b|\bbrake (?:pad|shoe|disc|drum|hose|pipe|line|cylinder|fluid)s?\b", re.IGNORECASE
)


def gates_missing(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """An operation that touches wheels, brakes or supports and passes no gate that asks about them."""
    gates = {gate.id: gate for gate in loaded.procedure.gates}
    wheels = wheel_fasteners(loaded.procedure)
    for operation, visits in journeys(loaded):
        passed = [gates[visit.step.passes_gate] for visit in visits if visit.step.passes_gate in gates]
        needs: dict[str, Keys] = {}
        for visit in visits:
            for what, keys in _touched(loaded, visit, wheels):
                needs.setdefault(what, keys)
        for what, keys in needs.items():
            if not any(_asks_about(gate, what, wheels) for gate in passed):
                message = f"{operation.id} touches {what}, but passes no gate that asks about them"
                remedy = "add one to `gates`, and `passes_gate` to a step at the end"
                yield finding(loaded, keys, "gate-missing", "error", message, remedy)


def _touched(loaded: LoadedProcedure, visit: Visit, wheels: frozenset[str]) -> Iterator[tuple[str, Keys]]:
    names = {fastener.id: fastener.name for fastener in loaded.procedure.fasteners}
    names |= {consumable.id: consumable.name for consumable in loaded.procedure.consumables}
    for keys, id in visit.names("slackens", "removes", "drains", "hangs"):
        if id in wheels:
            yield "wheels", keys
        elif "hangs" in keys and is_support(id):
            yield "supports", keys
        elif _BRAKE_PARTS.search(f"{names.get(id, id)}. {visit.step.say}"):
            yield "brakes", keys


def _asks_about(gate: Gate, what: str, wheels: frozenset[str]) -> bool:
    if what == "wheels" and wheels.intersection(gate.about):
        return True
    return any(_ASKS[what].search(text) for text in (gate.asks, *gate.about))
