"""Whether the file of a job's procedure was changed since the job began, which keeps the version it began with."""

from __future__ import annotations

from pathlib import Path

from sparehand.ground.errors import InputError
from sparehand.job.answer import Line, plain
from sparehand.job.events import JobOpened
from sparehand.procedures.library import find_procedure


def changed_since(opened: JobOpened, folder: Path) -> tuple[Line, ...]:
    """What to say of a changed file; nothing where it is the same, or is not at hand or not sound any more."""
    try:
        present = find_procedure(opened.procedure.id, folder)
    except InputError:
        return ()
    if present.sha256 == opened.procedure_sha256:
        return ()
    return (plain("A newer version of this procedure exists. This job keeps the one that it began with."),)
