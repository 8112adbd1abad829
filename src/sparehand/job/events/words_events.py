"""The words events are made of, and what all events have in common."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict

from sparehand.ground.bounds import WORDS_CHARACTERS

DistanceUnit = Literal["km", "mi"]
Corrosion = Literal["none", "light", "heavy", "unknown"]
Support = Literal["lift", "stands", "unknown"]
HoldReason = Literal[
    "parts",
    "wrong part",
    "tool",
    "lift",
    "customer approval",
    "information",
    "phone",
    "break",
    "helping",
    "other job",
    "end of day",
]
SnagKind = Literal["seized", "stripped", "broken", "no access"]
TighteningMethod = Literal["clicked at setting", "instrument read", "angle turned"]
DepartureKind = Literal["thread insert", "substitute bolt", "stripped thread", "cannot tighten", "left loose"]
DepartureReason = Literal["stripped thread", "broken bolt", "corrosion", "part missing", "no access"]
Decider = Literal["workshop owner", "customer", "vehicle maker"]
Basis = Literal["the part maker's data", "the workshop owner's word", "a value of the technician's"]
GapAnswer = Literal["work", "hold"]
Approver = Literal["customer", "insurer", "workshop owner"]
ApprovalWay = Literal["by phone", "in person", "in writing"]
LeaveReason = Literal["parts on order", "customer declined", "towed away", "continued elsewhere"]


class Fact(BaseModel):
    """Base of events and what they hold: immutable, in bounds, and refused if a field is not known."""

    model_config = ConfigDict(
        frozen=True, extra="forbid", defer_build=True, str_max_length=WORDS_CHARACTERS, allow_inf_nan=False
    )
