"""What happened on a job: the only thing that is kept. State, timesheet and card are folds over these."""

from __future__ import annotations

from typing import Annotated, Literal
from uuid import UUID

from pydantic import Field

from sparehand.ground.bounds import Count, Name
from sparehand.ground.clock import Moment
from sparehand.job.events.condition_events import (
    ConditionEvent,
    ConditionsSeen as ConditionsSeen,
    PracticeMarked as PracticeMarked,
)
from sparehand.job.events.correcting_events import CorrectingEvent, TimeCorrected as TimeCorrected
from sparehand.job.events.departing_events import (
    DepartingEvent,
    DepartureDecided as DepartureDecided,
    DepartureExplained as DepartureExplained,
    DepartureRecorded as DepartureRecorded,
    TightenedByOtherData as TightenedByOtherData,
)
from sparehand.job.events.drafting_events import (
    Asked as Asked,
    DraftingEvent,
    FastenerDoing as FastenerDoing,
    FastenerNamed as FastenerNamed,
    FastenerTold as FastenerTold,
    FirstJobBegun as FirstJobBegun,
    NameKept as NameKept,
    PhaseOpened as PhaseOpened,
    StepOpened as StepOpened,
)
from sparehand.job.events.ending_events import (
    EndingEvent,
    JobClosed as JobClosed,
    JobParked as JobParked,
    Question as Question,
    QuestionAnswered as QuestionAnswered,
    QuestionAsked as QuestionAsked,
    Undone as Undone,
)
from sparehand.job.events.extra_events import (
    ApprovalLimited as ApprovalLimited,
    ExtraEvent,
    ExtraWorkApproved as ExtraWorkApproved,
    ExtraWorkDeclined as ExtraWorkDeclined,
    ExtraWorkProposed as ExtraWorkProposed,
    OperationDropped as OperationDropped,
    ProcedureJoined as ProcedureJoined,
    ThingsAreOne as ThingsAreOne,
)
from sparehand.job.events.finding_events import (
    FaultFound as FaultFound,
    FaultMeasured as FaultMeasured,
    FaultWord as FaultWord,
    FindingEvent,
    Urgency as Urgency,
)
from sparehand.job.events.moving_events import (
    MovingEvent,
    StepDone as StepDone,
    StepReached as StepReached,
    StepsReopened as StepsReopened,
    WayChosen as WayChosen,
)
from sparehand.job.events.noting_events import (
    LessonKept as LessonKept,
    LessonRetired as LessonRetired,
    LessonReviewed as LessonReviewed,
    MemoKept as MemoKept,
    NoteKind as NoteKind,
    NotingEvent,
    PictureTaken as PictureTaken,
    WordsWritten as WordsWritten,
)
from sparehand.job.events.opening_events import (
    BenchAlive as BenchAlive,
    BenchSlept as BenchSlept,
    BenchStarted as BenchStarted,
    BenchStopped as BenchStopped,
    ClockStepped as ClockStepped,
    GapExplained as GapExplained,
    JobOpened as JobOpened,
    OpeningEvent,
    Vehicle as Vehicle,
)
from sparehand.job.events.order_events import (
    OldPartKept as OldPartKept,
    OrderEvent,
    OrderNoted as OrderNoted,
    OrderWord as OrderWord,
    PartNumberNoted as PartNumberNoted,
    ReworkLinked as ReworkLinked,
)
from sparehand.job.events.people_events import (
    PeopleEvent,
    TechnicianActs as TechnicianActs,
    TechnicianJoined as TechnicianJoined,
    TechnicianLeft as TechnicianLeft,
)
from sparehand.job.events.recording_events import (
    ConditionChanged as ConditionChanged,
    FindingRecorded as FindingRecorded,
    GatePassed as GatePassed,
    MarkFound as MarkFound,
    MarkMade as MarkMade,
    MeasurementRecorded as MeasurementRecorded,
    PartNotRenewed as PartNotRenewed,
    PartRenewed as PartRenewed,
    RecordingEvent,
    StanceChanged as StanceChanged,
    ToldWithoutStep as ToldWithoutStep,
    UnitChosen as UnitChosen,
    WarningSkipped as WarningSkipped,
    WarningUnderstood as WarningUnderstood,
)
from sparehand.job.events.tightening_events import (
    AngleAnswered as AngleAnswered,
    OutOfLimitsRead as OutOfLimitsRead,
    PiecesCounted as PiecesCounted,
    TighteningConfirmed as TighteningConfirmed,
    TighteningEvent,
    TighteningRestarted as TighteningRestarted,
)
from sparehand.job.events.timing_events import (
    HoldEnded as HoldEnded,
    HoldStarted as HoldStarted,
    SnagEnded as SnagEnded,
    SnagStarted as SnagStarted,
    TimerRang as TimerRang,
    TimerStarted as TimerStarted,
    TimerStopped as TimerStopped,
    TimingEvent,
)
from sparehand.job.events.tooling_events import (
    ExtensionChanged as ExtensionChanged,
    PressSizeFitted as PressSizeFitted,
    TighteningChecked as TighteningChecked,
    ToolingEvent,
    ToolsCounted as ToolsCounted,
    WrenchChosen as WrenchChosen,
)
from sparehand.job.events.visit_events import (
    ApprovedHours as ApprovedHours,
    EstimateApproved as EstimateApproved,
    FollowUpDone as FollowUpDone,
    FollowUpScheduled as FollowUpScheduled,
    LineAdded as LineAdded,
    LineEnded as LineEnded,
    LineNoted as LineNoted,
    LineResult as LineResult,
    LineStarted as LineStarted,
    LineWork as LineWork,
    Payer as Payer,
    PayerChosen as PayerChosen,
    VisitEvent,
)
from sparehand.job.events.words_events import (
    ApprovalWay as ApprovalWay,
    Approver as Approver,
    Basis as Basis,
    Corrosion as Corrosion,
    Decider as Decider,
    DepartureKind as DepartureKind,
    DepartureReason as DepartureReason,
    DistanceUnit as DistanceUnit,
    Fact as Fact,
    GapAnswer as GapAnswer,
    HoldReason as HoldReason,
    LeaveReason as LeaveReason,
    SnagKind as SnagKind,
    Support as Support,
    TighteningMethod as TighteningMethod,
)

Event = Annotated[
    OpeningEvent
    | CorrectingEvent
    | PeopleEvent
    | MovingEvent
    | ToolingEvent
    | FindingEvent
    | TighteningEvent
    | RecordingEvent
    | OrderEvent
    | ConditionEvent
    | TimingEvent
    | DepartingEvent
    | ExtraEvent
    | NotingEvent
    | DraftingEvent
    | VisitEvent
    | EndingEvent,
    Field(discriminator="kind"),
]


By = Literal["page"]
"""What else than voice and keyboard a decision is made with: a button of the bay page, or a form of the desk's."""


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
