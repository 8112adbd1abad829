"""What the steps of a procedure show is kept with the job, as the procedure itself is."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from uuid import UUID, uuid5

from sparehand.ground.errors import SparehandError
from sparehand.log.memos import MemoFolder
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.picture_files import picture_copy

_PICTURES = UUID("1c9f8a54-0b0d-5a57-9c1d-7e2f64b0c3aa")
"""The namespace (RFC 9562, version 5) of pictures by their content: jobs that show the same share its file."""


def kept_pictures(loaded: LoadedProcedure, folder: MemoFolder, tell: Callable[[str], None]) -> dict[str, UUID]:
    """The names under which `folder` keeps what the steps show, by the paths in the procedure.

    A picture that cannot be had stops no job: `tell` is told which.
    """
    kept: dict[str, UUID] = {}
    for path in dict.fromkeys(step.picture for phase in loaded.procedure.phases for step in phase.steps):
        if path is None:
            continue
        try:
            jpeg = picture_copy(loaded.path, path)
            id = uuid5(_PICTURES, hashlib.sha256(jpeg).hexdigest())
            folder.keep_picture(id, jpeg)
            kept[path] = id
        except SparehandError as error:
            tell(f"{error}. The job goes on without it.")
    return kept
