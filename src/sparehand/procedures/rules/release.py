"""Values that a person has still to confirm keep a procedure from being released."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.procedures.findings import CheckFinding, Severity
from sparehand.procedures.format_fields import LEVEL_OF
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.rules.walk import finding


def values_not_confirmed(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A value marked as unconfirmed: an error in a procedure that calls itself released, a warning in a draft."""
    released = loaded.procedure.released
    severity: Severity = "error" if released else "warning"
    for kind in ("fasteners", "phases"):
        for number, item in enumerate(getattr(loaded.procedure, kind)):
            for place, field in enumerate(item.unconfirmed):
                message = f"nobody has confirmed '{field}' of '{item.id}'"
                if released:
                    message += ", yet the procedure calls itself released"
                remedy = "look it up, then remove it from `unconfirmed`"
                keys = (kind, number, "unconfirmed", place)
                yield finding(loaded, keys, "value-not-confirmed", severity, message, remedy)


def newer_fields(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A field of a higher level than this program knows, or than the file says; work goes on without the former."""
    for keys in loaded.places:
        level = LEVEL_OF.get(str(keys[-1]), 1) if keys else 1
        if level > loaded.procedure.level:
            remedy = f"write `level: {level}`, so that an older Sparehand sets it aside"
            yield finding(loaded, keys, "newer-field", "warning", f"'{keys[-1]}' came with level {level}", remedy)
    for keys in loaded.set_aside:
        message = f"'{keys[-1]}' is a field of a newer Sparehand and is set aside"
        yield finding(loaded, keys, "newer-field", "warning", message, "update Sparehand to have it")
