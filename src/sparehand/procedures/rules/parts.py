"""Parts that are used once: listed, and renewed by a step."""

from __future__ import annotations

import re
from collections.abc import Iterator

from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.rules.walk import Visit, all_steps, finding

_SELF_LOCKING = re.compile(
    r"\bself[- ]locking\b|\bnylon\b|\binsert nut|\bprevailing[- ]torque\b|\bstaked nut", re.IGNORECASE
)


def use_once_not_in_parts(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A use-once fastener that the parts list lacks: it would not be there when it is needed."""
    listed = {part.id for part in loaded.procedure.parts}
    for number, fastener in enumerate(loaded.procedure.fasteners):
        if fastener.use_once and fastener.id not in listed:
            message = f"'{fastener.id}' is use-once, but is not among the parts"
            keys = ("fasteners", number)
            remedy = "add it to `parts` under the same id"
            yield finding(loaded, keys, "use-once-not-in-parts", "error", message, remedy)


def use_once_never_renewed(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A use-once fastener of the parts list that is fitted, but that no step says to renew."""
    listed = {part.id for part in loaded.procedure.parts}
    renewed = {id for visit in all_steps(loaded) for _, id in visit.names("renews")}
    fitted = {id for visit in all_steps(loaded) for _, id in visit.names("fits")}
    for number, fastener in enumerate(loaded.procedure.fasteners):
        if fastener.use_once and fastener.id in (fitted & listed) - renewed:
            message = f"'{fastener.id}' is use-once and is fitted, but no step renews it"
            keys = ("fasteners", number)
            remedy = "add it to `renews` of the step that fits it"
            yield finding(loaded, keys, "use-once-never-renewed", "warning", message, remedy)


def self_locking_nuts_reused(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A self-locking nut, by its name or as what is held, neither use-once nor reusable nor renewed."""
    parts = {part.id: part.name for part in loaded.procedure.parts}
    visits = tuple(all_steps(loaded))
    undone = {id for visit in visits for _, id in visit.names("slackens", "removes")}
    renewed = {id for visit in visits if _renews_nut(visit, parts) for _, id in visit.names("fits")}
    for number, fastener in enumerate(loaded.procedure.fasteners):
        held = fastener.counter_hold.holds if fastener.counter_hold else ""
        declared = fastener.use_once or fastener.reusable or fastener.id in renewed
        if fastener.id in undone and not declared and _SELF_LOCKING.search(f"{fastener.name}. {held}"):
            message = f"'{fastener.id}' locks itself, but nothing says whether it may be used again"
            remedy = "add `use_once: true`, a part for a new nut, or `reusable: true` where the maker allows it"
            yield finding(loaded, ("fasteners", number), "self-locking-nut-reused", "warning", message, remedy)


def _renews_nut(visit: Visit, parts: dict[str, str]) -> bool:
    return any("nut" in parts.get(id, "").lower().split() for id in visit.step.renews)
