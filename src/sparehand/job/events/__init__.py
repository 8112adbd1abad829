"""What happened on a job: the only thing that is kept. State, timesheet and card are folds over these."""

from __future__ import annotations

from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field

from sparehand.ground.bounds import Count, Name
from sparehand.ground.clock import Moment
from sparehand.job.events.condition_events import ConditionsSeen, PracticeMarked
from sparehand.job.events.correcting_events import TimeCorrected
from sparehand.job.events.departing_events import (
    DepartureDecided,
    DepartureExplained,
    DepartureRecorded,
    TightenedByOtherData,
)
from sparehand.job.events.drafting_events import (
    Asked,
    FastenerDoing,
    FastenerNamed,
    FastenerTold,
    FirstJobBegun,
    NameKept,
    PhaseOpened,
    StepOpened,
)
from sparehand.job.events.ending_events import JobClosed, JobParked, Question, QuestionAnswered, QuestionAsked, Undone
from sparehand.job.events.extra_events import (
    ApprovalLimited,
    ExtraWorkApproved,
    ExtraWorkDeclined,
    ExtraWorkProposed,
    OperationDropped,
)
from sparehand.job.events.finding_events import FaultFound, FaultMeasured, FaultWord, Urgency
from sparehand.job.events.moving_events import StepDone, StepReached, StepsReopened, WayChosen
from sparehand.job.events.noting_events import (
    LessonKept,
    LessonRetired,
    LessonReviewed,
    MemoKept,
    NoteKind,
    WordsWritten,
)
from sparehand.job.events.opening_events import (
    BenchAlive,
    BenchSlept,
    BenchStarted,
    BenchStopped,
    ClockStepped,
    GapExplained,
    JobOpened,
    Vehicle,
)
from sparehand.job.events.order_events import OldPartKept, OrderNoted, OrderWord, PartNumberNoted, ReworkLinked
from sparehand.job.events.people_events import TechnicianActs, TechnicianJoined, TechnicianLeft
from sparehand.job.events.recording_events import (
    ConditionChanged,
    FindingRecorded,
    GatePassed,
    MarkFound,
    MarkMade,
    MeasurementRecorded,
    PartNotRenewed,
    PartRenewed,
    StanceChanged,
    ToldWithoutStep,
    UnitChosen,
    WarningSkipped,
    WarningUnderstood,
)
from sparehand.job.events.tightening_events import (
    AngleAnswered,
    OutOfLimitsRead,
    PiecesCounted,
    TighteningConfirmed,
    TighteningRestarted,
)
from sparehand.job.events.timing_events import (
    HoldEnded,
    HoldStarted,
    SnagEnded,
    SnagStarted,
    TimerRang,
    TimerStarted,
    TimerStopped,
)
from sparehand.job.events.tooling_events import (
    ExtensionChanged,
    PressSizeFitted,
    TighteningChecked,
    ToolsCounted,
    WrenchChosen,
)
from sparehand.job.events.visit_events import (
    ApprovedHours,
    DistanceUnit,
    EstimateApproved,
    FollowUpDone,
    FollowUpScheduled,
    LineAdded,
    LineEnded,
    LineNoted,
    LineResult,
    LineStarted,
    LineWork,
    Payer,
    PayerChosen,
)
from sparehand.job.events.words_events import (
    ApprovalWay,
    Approver,
    Basis,
    Corrosion,
    Decider,
    DepartureKind,
    DepartureReason,
    Fact,
    GapAnswer,
    HoldReason,
    LeaveReason,
    SnagKind,
    Support,
    TighteningMethod,
)

Event = Annotated[
    JobOpened
    | BenchStarted
    | BenchStopped
    | BenchAlive
    | BenchSlept
    | ClockStepped
    | GapExplained
    | TimeCorrected
    | TechnicianJoined
    | TechnicianLeft
    | TechnicianActs
    | StepReached
    | StepDone
    | StepsReopened
    | PressSizeFitted
    | ToolsCounted
    | FaultFound
    | FaultMeasured
    | WayChosen
    | TighteningConfirmed
    | OutOfLimitsRead
    | TighteningRestarted
    | PiecesCounted
    | AngleAnswered
    | WrenchChosen
    | ExtensionChanged
    | TighteningChecked
    | PartRenewed
    | PartNotRenewed
    | ToldWithoutStep
    | StanceChanged
    | OrderNoted
    | PartNumberNoted
    | OldPartKept
    | ReworkLinked
    | ConditionsSeen
    | PracticeMarked
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
    | DepartureExplained
    | DepartureDecided
    | TightenedByOtherData
    | UnitChosen
    | ExtraWorkProposed
    | ExtraWorkApproved
    | ApprovalLimited
    | ExtraWorkDeclined
    | OperationDropped
    | MemoKept
    | LessonKept
    | WordsWritten
    | LessonReviewed
    | LessonRetired
    | FirstJobBegun
    | PhaseOpened
    | StepOpened
    | FastenerNamed
    | FastenerTold
    | NameKept
    | LineStarted
    | LineEnded
    | LineAdded
    | LineNoted
    | PayerChosen
    | FollowUpScheduled
    | FollowUpDone
    | EstimateApproved
    | QuestionAsked
    | QuestionAnswered
    | Undone
    | JobParked
    | JobClosed,
    Field(discriminator="kind"),
]


By = Literal["page"]
"""What else than voice and keyboard a decision is made with: a button of the bay page."""


class Recorded(Fact):
    """An event with its envelope.

    `sequence` counts from 0 without gaps within a job; events of one decision share `batch`, the sequence number of
    the first of them. `by` is what it was said with, where that was neither voice nor keyboard. The log adds the hash
    chain.
    """

    id: UUID
    job: str
    sequence: Count
    batch: Count
    at: Moment
    bench: Name
    technician: Name
    version: Count = 1
    by: By | None = None
    event: Event


__all__ = [
    "AngleAnswered",
    "ApprovalLimited",
    "ApprovalWay",
    "ApprovedHours",
    "Approver",
    "Asked",
    "Basis",
    "BenchAlive",
    "BenchSlept",
    "BenchStarted",
    "BenchStopped",
    "By",
    "ClockStepped",
    "ConditionChanged",
    "ConditionsSeen",
    "Corrosion",
    "Decider",
    "DepartureDecided",
    "DepartureExplained",
    "DepartureKind",
    "DepartureReason",
    "DepartureRecorded",
    "DistanceUnit",
    "EstimateApproved",
    "Event",
    "ExtensionChanged",
    "ExtraWorkApproved",
    "ExtraWorkDeclined",
    "ExtraWorkProposed",
    "Fact",
    "FastenerDoing",
    "FastenerNamed",
    "FastenerTold",
    "FaultFound",
    "FaultMeasured",
    "FaultWord",
    "FindingRecorded",
    "FirstJobBegun",
    "FollowUpDone",
    "FollowUpScheduled",
    "GapAnswer",
    "GapExplained",
    "GatePassed",
    "HoldEnded",
    "HoldReason",
    "HoldStarted",
    "JobClosed",
    "JobOpened",
    "JobParked",
    "LeaveReason",
    "LessonKept",
    "LessonRetired",
    "LessonReviewed",
    "LineAdded",
    "LineEnded",
    "LineNoted",
    "LineResult",
    "LineStarted",
    "LineWork",
    "MarkFound",
    "MarkMade",
    "MeasurementRecorded",
    "MemoKept",
    "NameKept",
    "NoteKind",
    "OldPartKept",
    "OperationDropped",
    "OrderNoted",
    "OrderWord",
    "OutOfLimitsRead",
    "PartNotRenewed",
    "PartNumberNoted",
    "PartRenewed",
    "Payer",
    "PayerChosen",
    "PhaseOpened",
    "PiecesCounted",
    "PracticeMarked",
    "PressSizeFitted",
    "Question",
    "QuestionAnswered",
    "QuestionAsked",
    "Recorded",
    "ReworkLinked",
    "SnagEnded",
    "SnagKind",
    "SnagStarted",
    "StanceChanged",
    "StepDone",
    "StepOpened",
    "StepReached",
    "StepsReopened",
    "Support",
    "TechnicianActs",
    "TechnicianJoined",
    "TechnicianLeft",
    "TightenedByOtherData",
    "TighteningChecked",
    "TighteningConfirmed",
    "TighteningMethod",
    "TighteningRestarted",
    "TimeCorrected",
    "TimerRang",
    "TimerStarted",
    "TimerStopped",
    "ToldWithoutStep",
    "ToolsCounted",
    "Undone",
    "UnitChosen",
    "Urgency",
    "Vehicle",
    "WarningSkipped",
    "WarningUnderstood",
    "WayChosen",
    "WordsWritten",
    "WrenchChosen",
]
