"""How a technician's name is kept and shown, and what stands for one that was blanked."""

from __future__ import annotations

import zlib

from sparehand.ground.bounds import name_in_bounds

FORGOTTEN = "forgotten"
"""What is shown where a name was blanked; what follows it keeps two such people apart."""


def seal_of_person(id: str, name: str | None) -> int:
    """The checksum that shows whether a name is still what was written."""
    return zlib.crc32(f"{id} {name or ''}".encode())


def shown_name(id: str, name: str | None) -> str:
    """The name; for one that was blanked, what keeps that person apart from others."""
    return name_in_bounds(name or "") or f"{FORGOTTEN} {id.rpartition('-')[2][:4]}"
