"""How an event is written down: canonical JSON, old versions lifted on reading, each chained to the one before."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from typing import Any

from pydantic import ValidationError

from sparehand.job.events import Recorded
from sparehand.log.store import DamagedLogError

Lift = Callable[[dict[str, Any]], dict[str, Any]]

UPCASTS: Mapping[tuple[str, int], Lift] = {}
"""What turns the written form of an event (its kind, its version) into that of the next version."""

_PERSON_FIELDS = ("technician",)
"""Where a person's name stands, in the envelope and in the event; everywhere else a name has no place."""


def to_wire(recorded: Recorded, person_of: Callable[[str], str]) -> str:
    """The written form, byte for byte the same for the same event. `person_of` gives the id kept for a name."""
    written = recorded.model_dump(mode="json")
    return canonical(_with_people(written, person_of))


def from_wire(body: str, name_of: Callable[[str], str], lifts: Mapping[tuple[str, int], Lift] = UPCASTS) -> Recorded:
    """The event of a written form. Raises DamagedLogError for what no version of Sparehand up to this one wrote."""
    try:
        written = json.loads(body)
        while lift := lifts.get((written["event"]["kind"], written["version"])):
            version = written["version"]
            written = lift(written)
            written["version"] = version + 1
        return Recorded.model_validate_json(json.dumps(_with_people(written, name_of)))
    except (ValueError, KeyError, TypeError, AttributeError, ValidationError) as error:
        raise DamagedLogError(
            f"the log holds an event that cannot be read ({_first_line(error)}); "
            "update Sparehand, or see `sparehand log verify`"
        ) from error


def people_in(body: str) -> frozenset[str]:
    """The ids of the people that a written form speaks of."""
    written = json.loads(body)
    told = (holder.get(field) for holder in (written, written["event"]) for field in _PERSON_FIELDS)
    return frozenset(id for id in told if id)


def canonical(written: object) -> str:
    """JSON with sorted keys and no spaces; numbers that are none are refused with ValueError."""
    return json.dumps(written, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def chain_start(job: str) -> bytes:
    """What the first event of a job is chained to."""
    return hashlib.sha256(f"sparehand log, job {job}".encode()).digest()


def chained(before: bytes, body: str) -> bytes:
    """The chain hash of an event: SHA-256 over the hash of the one before it and its own written form."""
    return hashlib.sha256(before + body.encode()).digest()


def _with_people(written: dict[str, Any], change: Callable[[str], str]) -> dict[str, Any]:
    for holder in (written, written["event"]):
        for field in _PERSON_FIELDS:
            if field in holder:
                holder[field] = change(holder[field])
    return written


def _first_line(error: Exception) -> str:
    if isinstance(error, ValidationError):
        first = error.errors()[0]
        return f"{'.'.join(str(part) for part in first['loc'])}: {first['msg']}"
    return str(error).splitlines()[0] if str(error) else type(error).__name__
