"""The events of a job as lines to read, so that every figure can be traced."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import is_dataclass

from pydantic import BaseModel

from sparehand.job.events import JobOpened, Recorded

_PLACE_WIDTH = 5


def event_lines(recorded: Iterable[Recorded]) -> Iterator[str]:
    """One line an event: its place, wall time, technician, kind, and what it says."""
    day = None
    for one in recorded:
        wall = one.at.wall
        if wall.date() != day:
            day = wall.date()
            yield f"{wall:%A %Y-%m-%d, UTC%z}"
        told = ": ".join(filter(None, (one.event.kind, ", ".join(_parts(one)))))
        yield f"{one.sequence:>{_PLACE_WIDTH}}  {wall:%H:%M:%S}  {_who(one)}  {told}"


def _who(one: Recorded) -> str:
    return f"{one.technician}, by {one.by}" if one.by else one.technician


def _parts(one: Recorded) -> Iterator[str]:
    event = one.event
    for name in type(event).model_fields:
        value = getattr(event, name)
        if name == "kind" or value in (None, "", ()):
            continue
        if isinstance(event, JobOpened) and name == "procedure":
            value = event.procedure.id
        yield f"{name.replace('_', ' ')} {_told(value)}"


def _told(value: object) -> str:
    if isinstance(value, tuple):
        return " and ".join(_told(item) for item in value)
    if isinstance(value, BaseModel) and not is_dataclass(value):
        return " ".join(_told(part) for _, part in value if part not in (None, ""))
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)
