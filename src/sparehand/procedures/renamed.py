"""Phases that were called otherwise, as this bench was told: as if the procedure's file said `was:` of them.

The times themselves stay as they were recorded, so that they can still be traced to their events.
"""

from __future__ import annotations

import json
from pathlib import Path

from sparehand.ground.errors import InputError
from sparehand.procedures.model import Procedure

FILE = "renamed-phases.json"


def with_renames(procedure: Procedure, folder: Path) -> Procedure:
    """The procedure, its phases saying `was` also of what this bench was told. Raises InputError for a damaged file."""
    told = renames(folder).get(procedure.id, {})
    if not told:
        return procedure
    phases = tuple(
        each.model_copy(update={"was": (*each.was, *(old for old, new in told.items() if new == each.id))})
        for each in procedure.phases
    )
    return procedure.model_copy(update={"phases": phases})


def renames(folder: Path) -> dict[str, dict[str, str]]:
    """Earlier names and present ones of phases, by procedure. Raises InputError for a damaged file."""
    path = folder / FILE
    try:
        told: dict[str, dict[str, str]] = json.loads(path.read_text(encoding="utf-8"))
        return {name: dict(renames) for name, renames in told.items()}
    except FileNotFoundError:
        return {}
    except (OSError, ValueError, AttributeError, TypeError) as error:
        raise InputError(f"{path} cannot be read ({error}); mend it or remove it") from error
