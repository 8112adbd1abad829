"""What is known before a job begins, as an immutable snapshot: an input of decide and answer, never an output."""

from __future__ import annotations

from dataclasses import dataclass

from sparehand.job.job_lessons import Lesson
from sparehand.job.visit_lines import FollowUpNote
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
class Experience:
    """Expected phase times, from the shop's own log or from the plan; the outlook tells how long is left.

    `added` are hours of the operations that the job does not contain.
    `lessons` are those of the procedure that are still to be heard, `wrenches` those of the shop;
    `follow_ups` what earlier jobs of the vehicle left open, each with its job.
    """

    phases: tuple[ExpectedPhase, ...] = ()
    outlook: Outlook | None = None
    lessons: tuple[Lesson, ...] = ()
    wrenches: tuple[ShopWrench, ...] = ()
    added: tuple[AddedHours, ...] = ()
    follow_ups: tuple[tuple[str, FollowUpNote], ...] = ()

    def expected(self, key: PhaseKey) -> ExpectedPhase | None:
        """What is expected of a phase, if anything is."""
        return next((phase for phase in self.phases if phase.key == key), None)
