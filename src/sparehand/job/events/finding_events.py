"""Faults that were found anywhere in the work, whether a file foresaw them or not."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sparehand.ground.bounds import Measured
from sparehand.job.events.words_events import Fact
from sparehand.procedures.model import Side
from sparehand.procedures.plan import StepKey

FaultWord = Literal["torn", "worn", "cracked", "leaking", "loose", "bent", "rusted", "broken", "missing"]
Urgency = Literal["now", "soon", "watch"]


class FaultFound(Fact):
    """A fault at a fastener, part or component of the file, or one that only the memo of that finding tells.

    `thing` is its id, empty where the file has no name for it. Findings of a job count from 1; none takes the place of
    an earlier one.
    """

    kind: Literal["fault found"] = "fault found"
    at: StepKey
    urgency: Urgency
    fault: FaultWord | None = None
    thing: str = Field(default="", max_length=60)
    side: Side | None = None


class FaultMeasured(Fact):
    """What was measured at a finding, confirmed after read-back."""

    kind: Literal["fault measured"] = "fault measured"
    finding: int = Field(ge=1)
    value: Measured
    unit: str = Field(max_length=20)


FindingEvent = FaultFound | FaultMeasured
