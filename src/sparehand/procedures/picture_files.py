"""The pictures that a procedure names: files beside it, inside its folder."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Annotated

from pydantic import AfterValidator, StringConstraints

from sparehand.ground.errors import InputError
from sparehand.ground.picture_cleaning import PICTURE_BYTES, clean_picture

_INSIDE = re.compile(r"([A-Za-z0-9][\w.-]*/)*[A-Za-z0-9][\w.-]*\.(png|jpe?g|webp)", re.ASCII | re.IGNORECASE)


def _inside(path: str) -> str:
    if not _INSIDE.fullmatch(path):
        raise ValueError(
            f"'{path}' is no picture inside the folder of the file: name it by letters, digits, '.', '-' and '_', "
            "folders with '/', from the file's own folder on, ending in .png, .jpg or .webp"
        )
    return path


PicturePath = Annotated[str, StringConstraints(max_length=120), AfterValidator(_inside)]
"""Where a picture lies, from the folder of the procedure file on; no such path leads out of that folder."""


def read_picture(procedure: Path, picture: str) -> bytes:
    """What the file of a picture that the file `procedure` names holds.

    Raises InputError where it is not there, is no file, or is a link out of the folder.
    """
    folder = procedure.absolute().parent.resolve()
    path = (folder / picture).resolve()
    if not path.is_relative_to(folder):
        raise InputError(f"{picture} is a link out of the folder of {procedure.name}; put the picture itself there")
    if not path.is_file():
        raise InputError(f"{picture} is not beside {procedure.name}; put it there")
    try:
        with path.open("rb") as file:
            return file.read(PICTURE_BYTES + 1)
    except OSError as error:
        raise InputError(f"{picture} cannot be read ({error.strerror}); mend its permissions") from error


def picture_copy(procedure: Path, picture: str) -> bytes:
    """The clean copy, a JPEG, of a picture that the file `procedure` names. Raises InputError where there is none."""
    raw = read_picture(procedure, picture)
    try:
        return clean_picture(raw)
    except InputError as error:
        raise InputError(f"{picture} {error}") from error
