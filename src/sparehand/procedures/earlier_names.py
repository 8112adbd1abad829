"""Earlier names of phases, recorded at this bench. They count as if the procedure's file listed them under `was`.

Stored times keep the names under which they were recorded, so that each can be traced to its events.
"""

from __future__ import annotations

from pathlib import Path

from sparehand.ground.bounds import read_json
from sparehand.ground.errors import InputError
from sparehand.procedures.model import Procedure

FILE = "renamed-phases.json"


def with_renames(procedure: Procedure, folder: Path) -> Procedure:
    """The procedure with the earlier names of this bench added to `was` of its phases.

    Raises InputError for a damaged file.
    """
    recorded = renames(folder).get(procedure.id, {})
    if not recorded:
        return procedure
    phases = tuple(
        each.model_copy(update={"was": (*each.was, *(old for old, new in recorded.items() if new == each.id))})
        for each in procedure.phases
    )
    return procedure.model_copy(update={"phases": phases})


def renames(folder: Path) -> dict[str, dict[str, str]]:
    """Earlier names and present ones of phases, by procedure. Raises InputError for a damaged file."""
    path = folder / FILE
    try:
        recorded: dict[str, dict[str, str]] = read_json(path.read_text(encoding="utf-8"))
        return {name: dict(renames) for name, renames in recorded.items()}
    except FileNotFoundError:
        return {}
    except (OSError, ValueError, AttributeError, TypeError) as error:
        raise InputError(f"{path} cannot be read ({error}); mend it or remove it") from error
