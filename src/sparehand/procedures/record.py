"""What every part of a procedure has in common: its base class, and the texts and ids it is made of."""

from __future__ import annotations

from typing import Annotated

from pydantic import BaseModel, ConfigDict, StringConstraints

_ID = r"[a-z][a-z0-9]*(-[a-z0-9]+)*"
Id = Annotated[str, StringConstraints(pattern=rf"^{_ID}$", max_length=60)]
"""A stable name inside one file: small letters, digits and hyphens."""

OfAnyFile = Annotated[str, StringConstraints(pattern=rf"^{_ID}(\.{_ID})?$", max_length=121)]
"""An id of this file, or of another one as `FILE.ID`."""

Text = Annotated[str, StringConstraints(min_length=1, max_length=600)]


class Record(BaseModel):
    """Base of everything in a procedure: immutable, and no field that the format does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)
