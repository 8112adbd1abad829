"""Time that was counted in the wrong place, put right; what was recorded first stays as it is."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sparehand.ground.bounds import MILLISECONDS, Name
from sparehand.job.events.words_events import Fact, HoldReason
from sparehand.procedures.plan import PhaseKey


class TimeCorrected(Fact):
    """So much of a technician's work in `phase` was really in phase `to_phase`: work there, or a hold.

    `why` says what was forgotten, or what the person at the desk gave as the reason.
    """

    kind: Literal["time corrected"] = "time corrected"
    technician: Name
    phase: PhaseKey
    milliseconds: int = Field(gt=0, le=MILLISECONDS)
    to_phase: PhaseKey
    counted_as: Literal["work", "hold"] = "work"
    hold: HoldReason | None = None
    why: str = ""


CorrectingEvent = TimeCorrected
