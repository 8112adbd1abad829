"""How an event is written down: canonical JSON, old versions lifted on reading, each chained to the one before."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping
from typing import Any

from pydantic import ValidationError

from sparehand.ground.bounds import first_problem
from sparehand.ground.terminal import printable
from sparehand.job.events import Recorded
from sparehand.log.store import DamagedLogError

Lift = Callable[[dict[str, Any]], dict[str, Any]]

UPCASTS: Mapping[tuple[str, int], Lift] = {}
"""What turns the written form of an event (its kind, its version) into that of the next version."""

_LATER_FIELDS = ("odometer_unit",)
"""Fields of a later version: where they say nothing they are not written, so that an event keeps its written form."""
_PERSON_FIELDS = ("technician",)
"""Where a person's name stands, in the envelope and in the event; everywhere else a name has no place."""


def to_wire(recorded: Recorded, person_of: Callable[[str], str]) -> str:
    """The written form, byte for byte the same for the same event. `person_of` gives the id kept for a name."""
    written = recorded.model_dump(mode="json", exclude={"by"} if recorded.by is None else None)
    for holder in (written["event"], written["event"].get("vehicle") or {}):
        for field in _LATER_FIELDS:
            if holder.get(field, "") is None:
                del holder[field]
    return canonical(_with_people(written, person_of))


def from_wire(body: str, name_of: Callable[[str], str], lifts: Mapping[tuple[str, int], Lift] = UPCASTS) -> Recorded:
    """The event of a written form. Raises DamagedLogError for what no version of Sparehand up to this one wrote."""
    try:
        written = json.loads(body)
        while lift := lifts.get((written["event"]["kind"], written["version"])):
            version = written["version"]
            written = lift(written)
            written["version"] = version + 1
        return _recorded(_with_people(written, name_of))
    except ValidationError as error:
        newer = _unknown_here(error)
        if newer:
            raise DamagedLogError(f"the log holds {newer}, which a newer Sparehand wrote; update Sparehand") from error
        raise _unreadable(error) from error
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise _unreadable(error) from error


def _unreadable(error: Exception) -> DamagedLogError:
    why = _first_line(error)
    return DamagedLogError(f"the log holds an event that cannot be read ({why}); see `sparehand log verify`")


def _unknown_here(error: ValidationError) -> str:
    """The kind of event, or the field, that this version does not know, if nothing else is wrong."""
    first, *others = error.errors(include_url=False)
    if first["type"] == "union_tag_invalid" and not others:
        return printable(f"an event '{first['ctx']['tag']}'")
    if all(one["type"] == "extra_forbidden" for one in (first, *others)):
        return printable(f"a field '{first['loc'][-1]}'")
    return ""


def _recorded(written: dict[str, Any]) -> Recorded:
    """The event; a text that an earlier version took and that is too long by now is cut, and stays whole in the log."""
    try:
        return Recorded.model_validate_json(json.dumps(written))
    except ValidationError as error:
        long = [one for one in error.errors() if one["type"] == "string_too_long"]
        if len(long) < error.error_count():
            raise
    for one in long:
        _cut(written, one["loc"], int(one["ctx"]["max_length"]))
    return Recorded.model_validate_json(json.dumps(written))


def _cut(within: Any, place: tuple[Any, ...], most: int) -> None:
    """Shorten the text at `place`, in which the kind of an event is named, too, and is no key."""
    *path, last = place
    for key in path:
        if isinstance(within, list) or key in within:
            within = within[key]
    within[last] = within[last][:most]


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
        return first_problem(error)
    return str(error).splitlines()[0] if str(error) else type(error).__name__
