"""Parts that are used once: listed, and renewed by a step."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.rules.walk import all_steps, finding


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
