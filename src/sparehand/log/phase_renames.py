"""Telling the bench that a phase was called otherwise when its times and lessons were recorded."""

from __future__ import annotations

import json
from pathlib import Path

from sparehand.ground.errors import FailureError, InputError
from sparehand.log.durable import write_durably
from sparehand.procedures.earlier_names import FILE, renames
from sparehand.procedures.model import Procedure


def remember_rename(folder: Path, procedure: Procedure, before: str, phase: str) -> None:
    """From now on what is known of phase `before` is known of `phase`.

    Raises InputError where the procedure has no `phase`, or still has one that is called `before`.
    """
    phases = [each.id for each in procedure.phases]
    if phase not in phases:
        raise InputError(f"{procedure.id} has no phase '{phase}'; there are: {', '.join(phases)}")
    if before in phases:
        raise InputError(f"{procedure.id} still has a phase '{before}'; times of two phases cannot become one's")
    told = renames(folder)
    told[procedure.id] = told.get(procedure.id, {}) | {before: phase}
    path = folder / FILE
    try:
        write_durably(path, (json.dumps(told, indent=1, sort_keys=True) + "\n").encode())
    except OSError as error:
        raise FailureError(f"{path} cannot be written ({error.strerror}); mend its permissions") from error
