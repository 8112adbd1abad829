"""The pictures of the steps: each is there, inside the folder, and can be shown."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.ground.errors import InputError
from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.picture_files import picture_copy
from sparehand.procedures.rules.walk import all_steps, finding


def pictures_not_usable(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A picture that is not beside the file, leads out of its folder, or is none by its content."""
    for visit in all_steps(loaded):
        if visit.step.picture is None:
            continue
        try:
            picture_copy(loaded.path, visit.step.picture)
        except InputError as error:
            message, _, remedy = str(error).partition("; ")
            yield finding(loaded, (*visit.keys, "picture"), "picture-not-usable", "error", message, remedy)
