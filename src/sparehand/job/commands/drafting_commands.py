"""A first job writes its own procedure: what opens a phase or a step, and what is told about a fastener."""

from __future__ import annotations

from dataclasses import dataclass

from sparehand.job.events import FastenerDoing


@dataclass(frozen=True)
class NewPhase:
    """A phase begins that no file has; its name is said next."""


@dataclass(frozen=True)
class NewStep:
    """A step begins that no file has; what is done is said next."""


@dataclass(frozen=True)
class NameStep:
    """What is done at the present step is said next, in place of what was said before."""


@dataclass(frozen=True)
class NewFastener:
    """A fastener of this step that was not met before; its name is said next."""


@dataclass(frozen=True)
class FastenerAgain:
    """A fastener named before, by its number, and what happens to it at this step."""

    count: int
    does: FastenerDoing


@dataclass(frozen=True)
class FastenerDoes:
    """What happens to the fastener that is being asked about."""

    does: FastenerDoing


@dataclass(frozen=True)
class FastenerUse:
    """Whether the fastener that is being asked about is used once."""

    once: bool


@dataclass(frozen=True)
class FastenerWaits:
    """Whether the fastener that is being asked about is tightened at ride height only."""

    for_ride_height: bool


@dataclass(frozen=True)
class NotKnown:
    """What is being asked about the fastener is not known now."""


DraftingCommand = (
    NewPhase | NewStep | NameStep | NewFastener | FastenerAgain | FastenerDoes | FastenerUse | FastenerWaits | NotKnown
)
