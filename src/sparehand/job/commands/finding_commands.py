"""Faults found anywhere in the work."""

from __future__ import annotations

from dataclasses import dataclass

from sparehand.job.events import FaultWord, Urgency
from sparehand.procedures.model import Side


@dataclass(frozen=True)
class FoundFault:
    """A fault at something that the file names, on the present side unless another is named."""

    fault: FaultWord
    thing: str
    urgency: Urgency
    side: Side | None = None


@dataclass(frozen=True)
class FoundSomething:
    """A fault that the memo tells which begins now."""

    urgency: Urgency
    side: Side | None = None


@dataclass(frozen=True)
class FindingMeasures:
    """What was measured at the finding written down last, as its digits were heard, in millimetres."""

    digits: str


@dataclass(frozen=True)
class WhatWasFound:
    """Name everything that was found."""


FindingCommand = FoundFault | FoundSomething | FindingMeasures | WhatWasFound
