"""The visit around the job: lines of work outside the procedure, who pays, follow-ups, and what was approved."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Annotated, Literal

from annotated_types import Ge, Le
from pydantic import Field

from sparehand.job.events.words_events import DistanceUnit, Fact

Payer = Literal["customer", "warranty", "goodwill", "internal", "training"]
LineWork = Literal["diagnosis", "road test", "work elsewhere", "waiting", "found work", "helper"]
LineResult = Literal["good", "not good"]
Amount = Annotated[Decimal, Field(ge=0, max_digits=12, decimal_places=3, allow_inf_nan=False)]
"""Money, in the currency of the shop."""
Distance = Annotated[float, Ge(0), Le(10_000_000)]
Words = Annotated[str, Field(max_length=600)]
Reference = Annotated[str, Field(max_length=120)]


class LineStarted(Fact):
    """A line of work beside the procedure begins; "work elsewhere" takes no time of the technician."""

    kind: Literal["line started"] = "line started"
    work: LineWork
    reference: Reference = ""


class LineEnded(Fact):
    """The latest line of this work that still runs is over."""

    kind: Literal["line ended"] = "line ended"
    work: LineWork
    result: Words = ""


class LineAdded(Fact):
    """A line that nobody timed here, put in at the desk."""

    kind: Literal["line added"] = "line added"
    work: LineWork
    minutes: float = Field(ge=0, le=60_000, allow_inf_nan=False)


class LineNoted(Fact):
    """More about a line, by its number in the job from 1 on; what is None stays as it was."""

    kind: Literal["line noted"] = "line noted"
    line: int = Field(ge=1)
    result: Words | None = None
    reference: Reference | None = None
    distance: Distance | None = None
    distance_unit: DistanceUnit | None = None
    amount: Amount | None = None


class PayerChosen(Fact):
    """Who pays for an operation by its id, or for a line by its number."""

    kind: Literal["payer chosen"] = "payer chosen"
    payer: Payer
    operation: str | None = None
    line: int | None = Field(default=None, ge=1)


class FollowUpScheduled(Fact):
    """When a follow-up is due: one of the procedure by its id, or one in a person's own words.

    The due distance is what the odometer will read, the due hours what the hour meter will.
    """

    kind: Literal["follow-up scheduled"] = "follow-up scheduled"
    follow_up: str = Field(min_length=1, max_length=60)
    words: Words = ""
    due_on: date | None = None
    due_distance: Distance | None = None
    distance_unit: DistanceUnit | None = None
    due_hours: Distance | None = None


class FollowUpDone(Fact):
    """A follow-up was done, with its result; `job` names the earlier job that it follows, where it is not this one."""

    kind: Literal["follow-up done"] = "follow-up done"
    follow_up: str = Field(min_length=1, max_length=60)
    result: Words = ""
    job: str | None = None


class ApprovedHours(Fact):
    """The hours of one operation that somebody agreed to pay for, with their price."""

    procedure: str
    operation: str
    payer: Payer
    hours: Amount
    price: Amount | None = None


class EstimateApproved(Fact):
    """An estimate was approved for this job."""

    kind: Literal["estimate approved"] = "estimate approved"
    estimate: str
    approved: tuple[ApprovedHours, ...]


VisitEvent = (
    LineStarted | LineEnded | LineAdded | LineNoted | PayerChosen | FollowUpScheduled | FollowUpDone | EstimateApproved
)
