"""How far the job has come, folded from its events one at a time; time itself is the ledger's."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Literal

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.conditions import AXLES, Conditions, axle_of
from sparehand.job.crew import Crew
from sparehand.job.fasteners import Fastenings
from sparehand.job.found_faults import Fault
from sparehand.job.growing_procedure import Naming
from sparehand.job.visit_lines import Visit
from sparehand.procedures.joining import Joined
from sparehand.procedures.model import Axle, FindingAnswer, Procedure, Side
from sparehand.procedures.plan import FastenerKey, PhaseKey, StepKey
from sparehand.procedures.quantities import TorqueUnit
from sparehand.procedures.shop_wrenches import ShopWrench
from sparehand.procedures.vehicle import Stance, VehicleEnd

Sided = tuple[str, Side | None]
"""An id of the procedure on a side."""


SEEN_FIELDS = ("corrosion", "support", "odometer", "odometer_unit")
"""What is seen of a vehicle, as its events name it."""


@dataclass(frozen=True)
class RunningTimer:
    """A named timer; due `minutes` after `started`."""

    name: str
    minutes: float
    started: Moment

    def remaining_ms(self, now: Moment) -> int:
        """Milliseconds until it is due; not positive when it is."""
        return round(self.minutes * 60_000) - self.started.milliseconds_until(now)


@dataclass(frozen=True)
class OpenQuestion:
    """A question that waits for its answer, and since when."""

    question: e.Question
    asked: Moment


@dataclass(frozen=True)
class Departure:
    """The procedure was left for a fastener: why, by whose word if not the technician's, and how it ended."""

    recorded: e.DepartureRecorded
    reason: str = ""
    decided_by: e.Decider | None = None
    tightened: e.TightenedByOtherData | None = None


ExtraWork = e.ExtraWorkProposed | e.ExtraWorkApproved | e.ApprovalLimited | e.ExtraWorkDeclined | e.OperationDropped
"""What was decided about the extent of the job, in order."""


@dataclass(frozen=True)
class Progress:
    """Everything the job knows of itself but time. Undo brings an earlier one back whole.

    `sides` are those that the job was opened on, `joined` the procedures that came to its own.
    `off` are the components that are off, `raised` says of each end whether it is off its wheels, as far as known.
    `doubtful` are fasteners read out of limits and not slackened since. `grown` is the procedure that a first job has
    written so far, `naming` the fastener that it is being told of.
    """

    at: StepKey
    unit: TorqueUnit
    crew: Crew
    operations: tuple[str, ...] = ()
    sides: tuple[Side, ...] = ()
    joined: tuple[Joined, ...] = ()
    keeps: frozenset[StepKey] = frozenset()
    ways: Mapping[PhaseKey, str] = field(default_factory=dict)
    extra_work: tuple[ExtraWork, ...] = ()
    done: frozenset[StepKey] = frozenset()
    skipped: tuple[StepKey, ...] = ()
    places: Mapping[Side, StepKey] = field(default_factory=dict)
    fastenings: Fastenings = field(default_factory=dict)
    renewed: frozenset[Sided] = frozenset()
    not_renewed: frozenset[Sided] = frozenset()
    understood: frozenset[Sided] = frozenset()
    conditions: Conditions = frozenset()
    off: tuple[Sided, ...] = ()
    raised: Mapping[Axle, bool] = field(default_factory=dict)
    drained: tuple[str, ...] = ()
    hanging: tuple[tuple[str, Side | None], ...] = ()
    gates: frozenset[str] = frozenset()
    told: tuple[e.ToldWithoutStep, ...] = ()
    marks: Mapping[Sided, Literal["made", "found"]] = field(default_factory=dict)
    findings: Mapping[Sided, FindingAnswer] = field(default_factory=dict)
    findings_said: Mapping[Sided, tuple[FindingAnswer, ...]] = field(default_factory=dict)
    faults: tuple[Fault, ...] = ()
    pictures: tuple[e.PictureTaken, ...] = ()
    measurements: Mapping[Sided, e.MeasurementRecorded] = field(default_factory=dict)
    tightenings: tuple[e.TighteningConfirmed, ...] = ()
    out_of_limits: tuple[e.OutOfLimitsRead, ...] = ()
    tools_back: frozenset[str] = frozenset()
    doubtful: frozenset[FastenerKey] = frozenset()
    wrench: ShopWrench | None = None
    extension_mm: float | None = None
    checked: tuple[e.TighteningChecked, ...] = ()
    departures: tuple[Departure, ...] = ()
    order: Mapping[e.OrderWord, str] = field(default_factory=dict)
    part_numbers: Mapping[Sided, str] = field(default_factory=dict)
    old_kept: frozenset[Sided] = frozenset()
    rework_of: str | None = None
    seen: e.ConditionsSeen = field(default_factory=e.ConditionsSeen)
    practice: bool = False
    timers: tuple[RunningTimer, ...] = ()
    snag: e.SnagKind | None = None
    question: OpenQuestion | None = None
    lapsed: tuple[e.Question, ...] = ()
    wondered: frozenset[str] = frozenset()
    grown: Procedure | None = None
    naming: Naming | None = None
    visit: Visit = field(default_factory=Visit)
    parked: bool = False
    closed: e.JobClosed | None = None

    @property
    def hold(self) -> e.HoldReason | None:
        """What the technician who acts has stopped for."""
        return self.crew.hold

    def part_number(self, id: str, side: Side | None) -> str | None:
        """The number of a part that was fitted there, where somebody noted one for that side or for every side."""
        return self.part_numbers.get((id, side)) or self.part_numbers.get((id, None))

    def stance_at(self, side: Side | None) -> Stance | None:
        """Whether the vehicle is raised where a side lies; either end being raised counts for the other sides."""
        axle = axle_of(side)
        known = [self.raised[end] for end in AXLES if end in self.raised and axle in (None, end)]
        return None if not known else "raised" if any(known) else "lowered"


def answered(progress: Progress, about: str) -> Progress:
    """The open question has its answer, and a lapsed one about the same is off the list."""
    lapsed = tuple(question for question in progress.lapsed if question.about != about)
    return replace(progress, question=None, lapsed=lapsed)


def with_stance(progress: Progress, end: VehicleEnd, stance: Stance) -> Progress:
    """The vehicle, or one end of it, is raised or lowered."""
    ends = AXLES if end == "vehicle" else (end,)
    return replace(progress, raised={**progress.raised, **dict.fromkeys(ends, stance == "raised")})
