"""What happened on a job: the only thing that is kept. State, timesheet and card are folds over these."""

from __future__ import annotations

from typing import Annotated, Literal
from uuid import UUID

from pydantic import BaseModel, ConfigDict, Field

from sparehand.clock import Moment
from sparehand.procedures.model import FindingAnswer, Procedure, Side
from sparehand.procedures.plan import FastenerKey, StepKey
from sparehand.procedures.quantities import TorqueUnit, TorqueValue

Corrosion = Literal["none", "light", "heavy"]
Support = Literal["lift", "stands"]
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
DepartureKind = Literal["thread insert", "substitute bolt", "cannot tighten", "left loose"]
GapAnswer = Literal["work", "hold"]
LeaveReason = Literal["parts on order", "customer declined", "towed away", "continued elsewhere"]


class Fact(BaseModel):
    """Base of events and what they hold: immutable, and refused if a field is not known."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Vehicle(Fact):
    """The vehicle as entered at the opening."""

    name: str = ""
    identification: str = ""
    odometer: int | None = None
    corrosion: Corrosion = "none"
    support: Support = "lift"


class Question(Fact):
    """Something asked of the technician that waits for "yes confirm" or "no cancel".

    `reading` carries the value heard, for the fastener or measurement `about`; the other kinds say in `about` what a
    "yes" would do.
    """

    kind: Literal["reading", "measurement", "close", "skip warning", "restart tightening"]
    about: str
    side: Side | None = None
    torque: TorqueValue | None = None
    value: float | None = None
    unit: str | None = None
    lapses_after_ms: int = 45_000


class JobOpened(Fact):
    """A job begins: the procedure it will follow to the end is part of the event."""

    kind: Literal["job opened"] = "job opened"
    procedure: Procedure
    procedure_sha256: str
    operations: tuple[str, ...]
    sides: tuple[Side, ...]
    technician: str
    vehicle: Vehicle
    torque_unit: TorqueUnit = "N·m"
    complaint: str = ""
    rework_of: str | None = None


class BenchStarted(Fact):
    """The bench takes the job up again after it was stopped or lost power; what lies between is a gap."""

    kind: Literal["bench started"] = "bench started"


class BenchStopped(Fact):
    """The bench stops in good order with the job still open."""

    kind: Literal["bench stopped"] = "bench stopped"


class BenchAlive(Fact):
    """The bench still runs: written now and then, so that a power cut costs minutes of known time, not hours."""

    kind: Literal["bench alive"] = "bench alive"


class GapExplained(Fact):
    """The technician says what the last gap was."""

    kind: Literal["gap explained"] = "gap explained"
    was: GapAnswer


class StepReached(Fact):
    """The technician is now at `step`; `finished` or `skipped` is the step left behind. A new phase moves the clock."""

    kind: Literal["step reached"] = "step reached"
    step: StepKey
    finished: StepKey | None = None
    skipped: tuple[StepKey, ...] = ()


class StepDone(Fact):
    """The step is confirmed as done, its fasteners apart."""

    kind: Literal["step done"] = "step done"
    step: StepKey


class TighteningConfirmed(Fact):
    """`count` more of a fastener have reached stage `stage` (from 0), said by the technician."""

    kind: Literal["tightening confirmed"] = "tightening confirmed"
    fastener: FastenerKey
    stage: int = Field(ge=0)
    count: int = Field(ge=1)
    method: TighteningMethod
    achieved: TorqueValue | None = None


class OutOfLimitsRead(Fact):
    """A tightening was read off an instrument outside its tolerance; the fastener stays open."""

    kind: Literal["out of limits read"] = "out of limits read"
    fastener: FastenerKey
    stage: int = Field(ge=0)
    achieved: TorqueValue


class TighteningRestarted(Fact):
    """All stages of a fastener start again from the first; a use-once one must be new again."""

    kind: Literal["tightening restarted"] = "tightening restarted"
    fastener: FastenerKey


class PartRenewed(Fact):
    """A use-once part or fastener was replaced by a new one."""

    kind: Literal["part renewed"] = "part renewed"
    part: str
    side: Side | None = None


class WarningUnderstood(Fact):
    """The technician has understood a warning (on a side)."""

    kind: Literal["warning understood"] = "warning understood"
    warning: str
    side: Side | None = None


class WarningSkipped(Fact):
    """The technician passed a warning by without saying that it is understood; it is met again on entry."""

    kind: Literal["warning skipped"] = "warning skipped"
    warning: str
    side: Side | None = None


class ConditionChanged(Fact):
    """A condition such as ride height became true or stopped being true."""

    kind: Literal["condition changed"] = "condition changed"
    condition: str
    holds: bool


class GatePassed(Fact):
    """Something that must be true before the vehicle moves was confirmed."""

    kind: Literal["gate passed"] = "gate passed"
    gate: str


class HoldStarted(Fact):
    """Work stops, with a reason."""

    kind: Literal["hold started"] = "hold started"
    reason: HoldReason


class HoldEnded(Fact):
    """Work goes on."""

    kind: Literal["hold ended"] = "hold ended"


class SnagStarted(Fact):
    """Something begins to cost worked time."""

    kind: Literal["snag started"] = "snag started"
    snag: SnagKind


class SnagEnded(Fact):
    """The snag is over; the phase goes on."""

    kind: Literal["snag ended"] = "snag ended"


class TimerStarted(Fact):
    """A named timer runs."""

    kind: Literal["timer started"] = "timer started"
    name: str
    minutes: float = Field(gt=0)


class TimerRang(Fact):
    """A timer came due and was spoken."""

    kind: Literal["timer rang"] = "timer rang"
    name: str


class TimerStopped(Fact):
    """A timer was stopped before it was due."""

    kind: Literal["timer stopped"] = "timer stopped"
    name: str


class FindingRecorded(Fact):
    """An inspection point was answered."""

    kind: Literal["finding recorded"] = "finding recorded"
    inspection: str
    side: Side | None = None
    finding: FindingAnswer


class MeasurementRecorded(Fact):
    """A measured value, confirmed after read-back."""

    kind: Literal["measurement recorded"] = "measurement recorded"
    measurement: str
    side: Side | None = None
    value: float
    unit: str


class MarkMade(Fact):
    """A mark was made before dismantling."""

    kind: Literal["mark made"] = "mark made"
    mark: str
    side: Side | None = None


class MarkFound(Fact):
    """A mark made earlier was found again and used."""

    kind: Literal["mark found"] = "mark found"
    mark: str
    side: Side | None = None


class DepartureRecorded(Fact):
    """The technician leaves the procedure for a fastener; its torque is withheld from then on."""

    kind: Literal["departure recorded"] = "departure recorded"
    departure: DepartureKind
    fastener: FastenerKey
    reason: str = ""


class UnitChosen(Fact):
    """Torques are spoken in this unit from now on."""

    kind: Literal["unit chosen"] = "unit chosen"
    unit: TorqueUnit


class QuestionAsked(Fact):
    """A question stands open."""

    kind: Literal["question asked"] = "question asked"
    question: Question


class QuestionAnswered(Fact):
    """The open question was answered with no; a yes is told by the event it brings."""

    kind: Literal["question answered"] = "question answered"
    answer: Literal["no", "lapsed"]


class Undone(Fact):
    """Everything from `batch` on is taken back, but for the time that passed."""

    kind: Literal["undone"] = "undone"
    batch: int


class JobParked(Fact):
    """The job is left for later, with what stood open then."""

    kind: Literal["job parked"] = "job parked"
    safe_to_drive: bool


class JobClosed(Fact):
    """The job ends. `reason` is given where something was left open, and `left_open` names it."""

    kind: Literal["job closed"] = "job closed"
    reason: str = ""
    left_open: tuple[str, ...] = ()


Event = Annotated[
    JobOpened
    | BenchStarted
    | BenchStopped
    | BenchAlive
    | GapExplained
    | StepReached
    | StepDone
    | TighteningConfirmed
    | OutOfLimitsRead
    | TighteningRestarted
    | PartRenewed
    | WarningUnderstood
    | WarningSkipped
    | ConditionChanged
    | GatePassed
    | HoldStarted
    | HoldEnded
    | SnagStarted
    | SnagEnded
    | TimerStarted
    | TimerRang
    | TimerStopped
    | FindingRecorded
    | MeasurementRecorded
    | MarkMade
    | MarkFound
    | DepartureRecorded
    | UnitChosen
    | QuestionAsked
    | QuestionAnswered
    | Undone
    | JobParked
    | JobClosed,
    Field(discriminator="kind"),
]


class Recorded(Fact):
    """An event with its envelope. `sequence` counts from 0 without gaps within a job; events of one decision share
    `batch`, the sequence number of the first of them. The log adds the hash chain."""

    id: UUID
    job: str
    sequence: int = Field(ge=0)
    batch: int = Field(ge=0)
    at: Moment
    bench: str
    technician: str
    version: int = 1
    event: Event
