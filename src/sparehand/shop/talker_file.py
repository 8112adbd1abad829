"""What was learned of how each technician is heard: `talkers.json` in the data folder. It stays on this bench."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from sparehand.ground.bounds import read_json
from sparehand.ground.errors import FailureError, InputError
from sparehand.log.durable import write_durably

TALKERS_FILE = "talkers.json"
_MOST_CHARACTERS = 1_000_000


def read_talkers(folder: Path) -> dict[str, Any]:
    """By technician, what was learned. Raises InputError for a file that is none of these."""
    path = folder / TALKERS_FILE
    try:
        talkers = read_json(path.read_text("utf-8"), _MOST_CHARACTERS) if path.exists() else {}
    except (OSError, ValueError) as error:
        raise InputError(f"{path} cannot be read ({error}); delete it, then learn again") from error
    if not isinstance(talkers, dict):
        raise InputError(f"{path} holds no technicians; delete it, then learn again")
    return talkers


def write_talker(folder: Path, name: str, learned: Mapping[str, Any] | None) -> bool:
    """Put what was `learned` of a technician in place of what was known; None forgets it.

    Gives whether that changed anything. Raises FailureError where it cannot be written.
    """
    talkers = read_talkers(folder)
    others = {known: profile for known, profile in talkers.items() if known != name}
    wanted = others if learned is None else {**others, name: dict(learned)}
    if wanted == talkers:
        return False
    path = folder / TALKERS_FILE
    try:
        write_durably(path, json.dumps(wanted, ensure_ascii=False, indent=1).encode())
    except OSError as error:
        raise FailureError(f"{path} cannot be written ({error.strerror}); free space or close what holds it") from error
    return True
