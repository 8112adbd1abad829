"""The visit around the job: lines of work, who pays, and follow-ups."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sparehand.job.events import DistanceUnit, LineResult, LineWork, Payer


@dataclass(frozen=True)
class StartLine:
    """A diagnosis, a road test, a wait, or work elsewhere begins."""

    work: LineWork


@dataclass(frozen=True)
class EndLine:
    """It is over, perhaps with a result."""

    work: LineWork
    result: LineResult | None = None


@dataclass(frozen=True)
class RoadTestDistance:
    """How far the latest road test went, as its digits were heard."""

    digits: str
    unit: DistanceUnit


@dataclass(frozen=True)
class ChoosePayer:
    """Who pays for the line that runs or ended last; where there is none, for all operations."""

    payer: Payer


@dataclass(frozen=True)
class ChooseOperationPayer:
    """Who pays for one operation, by its id."""

    operation: str
    payer: Payer


@dataclass(frozen=True)
class WhichFollowUps:
    """What is to follow, each with its number: of this vehicle's earlier jobs first, then of this job."""


@dataclass(frozen=True)
class FollowUpIs:
    """The follow-up of that number was done."""

    count: int
    result: LineResult


@dataclass(frozen=True)
class FollowUpsDueAt:
    """The same follow-ups are due when the odometer or the hour meter reads so much, as its digits were heard."""

    digits: str
    unit: Literal["km", "mi", "hours"]


@dataclass(frozen=True)
class FollowUpsDue:
    """All follow-ups of this job that have no date are due in so many days, weeks or months."""

    count: int
    unit: Literal["days", "weeks", "months"]


VisitCommand = (
    StartLine
    | EndLine
    | RoadTestDistance
    | ChoosePayer
    | ChooseOperationPayer
    | WhichFollowUps
    | FollowUpIs
    | FollowUpsDue
    | FollowUpsDueAt
)
