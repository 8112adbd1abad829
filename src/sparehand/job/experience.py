"""What is known before a job begins, as an immutable snapshot: an input of decide and answer, never an output."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from uuid import UUID

from sparehand.job.job_lessons import Lesson
from sparehand.job.visit_lines import FollowUpNote
from sparehand.procedures.model import Operation, Procedure
from sparehand.procedures.phase_key import parted_id
from sparehand.procedures.plan import PhaseKey
from sparehand.procedures.shop_wrenches import ShopWrench
from sparehand.times.time_left import Outlook


@dataclass(frozen=True)
class ExpectedPhase:
    """The range within which four in five runs of a phase lie, in minutes."""

    key: PhaseKey
    p10_minutes: float
    median_minutes: float
    p90_minutes: float


@dataclass(frozen=True)
class AddedHours:
    """What an operation would add if it were done in the same visit: its median, and the range of four jobs in five."""

    operation: str
    p10_hours: float
    median_hours: float
    p90_hours: float


@dataclass(frozen=True)
class Offer:
    """Another procedure for the same vehicle, whose operations may join a job; `sha256` is that of its file.

    `pictures` names what its steps show, by their paths in it.
    """

    procedure: Procedure
    sha256: str
    pictures: Mapping[str, UUID] = field(default_factory=dict)


@dataclass(frozen=True)
class Experience:
    """Expected phase times, from the shop's own log or from the plan; the outlook tells how long is left.

    `added` are hours of the operations that the job does not contain.
    `lessons` are those of the procedure that are still to be heard, `wrenches` those of the shop;
    `follow_ups` what earlier jobs of the vehicle left open, each with its job; `offers` what may join the job, with
    its phases and operations among the others by the ids that they would have then.
    """

    phases: tuple[ExpectedPhase, ...] = ()
    outlook: Outlook | None = None
    lessons: tuple[Lesson, ...] = ()
    wrenches: tuple[ShopWrench, ...] = ()
    added: tuple[AddedHours, ...] = ()
    follow_ups: tuple[tuple[str, FollowUpNote], ...] = ()
    offers: tuple[Offer, ...] = ()

    def expected(self, key: PhaseKey) -> ExpectedPhase | None:
        """What is expected of a phase, if anything is."""
        return next((phase for phase in self.phases if phase.key == key), None)

    def offered(self, operation: str) -> tuple[Offer, Operation] | None:
        """The offer that holds an operation of another procedure, if one does."""
        procedure, own = parted_id(operation)
        offers = ((offer, one) for offer in self.offers for one in offer.procedure.operations)
        return next(((offer, one) for offer, one in offers if (offer.procedure.id, one.id) == (procedure, own)), None)
