"""What a technician can ask for, as types. Which words mean which command is data: the phrase table."""

from __future__ import annotations

from typing import get_args

from sparehand.job.commands.asking_commands import (
    Explain,
    HeldBy,
    Help,
    LeftOnThisSide,
    PartOf,
    PhaseTime,
    ReadWarning,
    RepeatStep,
    RepeatTorque,
    SayAgain,
    SayMore,
    SizeOf,
    TightenedHere,
    TimeCheck,
    TimerLeft,
    TorqueOf,
    WhatAfterThat,
    WhatDoINeed,
    WhatIsLoose,
    WhatNext,
    WhatSize,
    WhatWasSkipped,
    WhereAmI,
    WhichParts,
    WhichTools,
)
from sparehand.job.commands.bench_commands import OtherJob, Quiet, StopListening, VoiceOff, VoiceOn, WhichJob
from sparehand.job.commands.condition_commands import PracticeOnly, SayCorrosion, SayOdometer, SaySupport
from sparehand.job.commands.departing_commands import Depart, DepartureDecidedBy, ExplainDeparture, TightenedOtherwise
from sparehand.job.commands.drafting_commands import (
    FastenerAgain,
    FastenerDoes,
    FastenerUse,
    FastenerWaits,
    NameStep,
    NewFastener,
    NewPhase,
    NewStep,
    NotKnown,
)
from sparehand.job.commands.ending_commands import Close, Confirm, Park, Refuse, Undo
from sparehand.job.commands.extra_commands import AddOperation, Approve, Decline, DropOperation, LimitApproval
from sparehand.job.commands.finding_commands import FindingMeasures, FoundFault, FoundSomething, WhatWasFound
from sparehand.job.commands.moving_commands import (
    ChooseWay,
    GoBack,
    GoTo,
    GoToSkipped,
    Next,
    NextPhase,
    OtherSide,
    Redo,
    SkipStep,
)
from sparehand.job.commands.noting_commands import DropMemo, EndMemo, KeepLesson, KeepMemo, NoteTaken
from sparehand.job.commands.opening_commands import Begin, ChooseOperation, ChooseSides
from sparehand.job.commands.people_commands import (
    HandOver,
    TechnicianJoins,
    TechnicianLeaves,
    TechnicianSpeaks,
    WhoIsHere,
)
from sparehand.job.commands.recording_commands import (
    AlreadyFitted,
    AlreadyOn,
    CheckPassed,
    ConditionHolds,
    ConditionOver,
    Finding,
    KeepOldPart,
    Lifted,
    MarkIsFound,
    MarkIsMade,
    MarkWasMade,
    PartAnswer,
    Renewed,
    Understood,
    UseUnit,
)
from sparehand.job.commands.tightening_commands import MarkDone, Reading, StartTightening
from sparehand.job.commands.timing_commands import (
    GoOn,
    Hold,
    Snag,
    SnagOver,
    StartTimer,
    StopTimer,
    Tick,
    WasHold,
    WasWork,
)
from sparehand.job.commands.tooling_commands import (
    ExtensionAtRightAngle,
    ExtensionInLine,
    ExtensionOff,
    HelperFor,
    PressSizeFits,
    SecondCheck,
    ToolsBack,
    UseWrench,
)
from sparehand.job.commands.visit_commands import (
    ChooseOperationPayer,
    ChoosePayer,
    EndLine,
    FollowUpIs,
    FollowUpsDue,
    FollowUpsDueAt,
    RoadTestDistance,
    StartLine,
    WhichFollowUps,
)

Command = (
    ChooseOperation
    | ChooseSides
    | Begin
    | Next
    | NextPhase
    | GoBack
    | SkipStep
    | GoTo
    | GoToSkipped
    | ChooseWay
    | FoundFault
    | FoundSomething
    | FindingMeasures
    | WhatWasFound
    | OtherSide
    | Redo
    | SayAgain
    | RepeatStep
    | RepeatTorque
    | WhatSize
    | WhatNext
    | WhatIsLoose
    | WhatDoINeed
    | WhereAmI
    | WhatWasSkipped
    | WhichParts
    | TimeCheck
    | TimerLeft
    | ReadWarning
    | Explain
    | SayMore
    | TorqueOf
    | SizeOf
    | HeldBy
    | PartOf
    | TightenedHere
    | LeftOnThisSide
    | WhatAfterThat
    | WhichTools
    | PhaseTime
    | Help
    | Quiet
    | StopListening
    | VoiceOff
    | VoiceOn
    | MarkDone
    | Reading
    | Depart
    | ExplainDeparture
    | DepartureDecidedBy
    | TightenedOtherwise
    | StartTightening
    | UseWrench
    | ExtensionInLine
    | ExtensionAtRightAngle
    | ExtensionOff
    | SecondCheck
    | ToolsBack
    | PressSizeFits
    | HelperFor
    | UseUnit
    | Understood
    | Finding
    | Renewed
    | KeepOldPart
    | PracticeOnly
    | SayCorrosion
    | SayOdometer
    | SaySupport
    | MarkIsMade
    | MarkIsFound
    | ConditionHolds
    | ConditionOver
    | AlreadyFitted
    | AlreadyOn
    | MarkWasMade
    | PartAnswer
    | Lifted
    | CheckPassed
    | Hold
    | GoOn
    | Snag
    | SnagOver
    | StartTimer
    | StopTimer
    | WasWork
    | WasHold
    | Tick
    | Confirm
    | Refuse
    | TechnicianSpeaks
    | TechnicianJoins
    | TechnicianLeaves
    | HandOver
    | WhoIsHere
    | OtherJob
    | WhichJob
    | Undo
    | Park
    | Close
    | AddOperation
    | Approve
    | LimitApproval
    | Decline
    | DropOperation
    | KeepMemo
    | KeepLesson
    | EndMemo
    | DropMemo
    | NoteTaken
    | NewPhase
    | NewStep
    | NameStep
    | NewFastener
    | FastenerAgain
    | FastenerDoes
    | FastenerUse
    | FastenerWaits
    | NotKnown
    | StartLine
    | EndLine
    | RoadTestDistance
    | ChoosePayer
    | ChooseOperationPayer
    | WhichFollowUps
    | FollowUpIs
    | FollowUpsDue
    | FollowUpsDueAt
)

COMMANDS: dict[str, type[Command]] = {kind.__name__: kind for kind in get_args(Command)}
"""Every command by its name, as the phrase table names them."""

ASKING = frozenset({
    "Help", "ReadWarning", "RepeatStep", "RepeatTorque", "SayAgain", "TimeCheck", "TimerLeft", "WhatDoINeed",
    "WhatIsLoose", "WhatNext", "WhatSize", "WhatWasSkipped", "WhereAmI", "WhichJob", "WhichParts", "WhoIsHere",
    "SayMore", "TorqueOf", "SizeOf", "HeldBy", "PartOf", "TightenedHere", "LeftOnThisSide", "WhatAfterThat",
    "WhichTools", "PhaseTime", "Explain", "WhatWasFound",
})  # fmt: skip
"""Names of the commands that change nothing: they are answered."""
UNSPOKEN = frozenset({"Tick", "NoteTaken"})
"""The commands that the bench itself sends, for which there are no words."""

__all__ = [
    "COMMANDS",
    "UNSPOKEN",
    "AddOperation",
    "AlreadyFitted",
    "AlreadyOn",
    "Approve",
    "Begin",
    "CheckPassed",
    "ChooseOperation",
    "ChooseOperationPayer",
    "ChoosePayer",
    "ChooseSides",
    "ChooseWay",
    "Close",
    "Command",
    "ConditionHolds",
    "ConditionOver",
    "Confirm",
    "Decline",
    "Depart",
    "DepartureDecidedBy",
    "DropMemo",
    "DropOperation",
    "EndLine",
    "EndMemo",
    "Explain",
    "ExplainDeparture",
    "ExtensionAtRightAngle",
    "ExtensionInLine",
    "ExtensionOff",
    "FastenerAgain",
    "FastenerDoes",
    "FastenerUse",
    "FastenerWaits",
    "Finding",
    "FindingMeasures",
    "FollowUpIs",
    "FollowUpsDue",
    "FollowUpsDueAt",
    "FoundFault",
    "FoundSomething",
    "GoBack",
    "GoOn",
    "GoTo",
    "GoToSkipped",
    "HandOver",
    "HeldBy",
    "Help",
    "HelperFor",
    "Hold",
    "KeepLesson",
    "KeepMemo",
    "KeepOldPart",
    "LeftOnThisSide",
    "Lifted",
    "LimitApproval",
    "MarkDone",
    "MarkIsFound",
    "MarkIsMade",
    "MarkWasMade",
    "NameStep",
    "NewFastener",
    "NewPhase",
    "NewStep",
    "Next",
    "NextPhase",
    "NotKnown",
    "NoteTaken",
    "OtherJob",
    "OtherSide",
    "Park",
    "PartAnswer",
    "PartOf",
    "PhaseTime",
    "PracticeOnly",
    "PressSizeFits",
    "Quiet",
    "ReadWarning",
    "Reading",
    "Redo",
    "Refuse",
    "Renewed",
    "RepeatStep",
    "RepeatTorque",
    "RoadTestDistance",
    "SayAgain",
    "SayCorrosion",
    "SayMore",
    "SayOdometer",
    "SaySupport",
    "SecondCheck",
    "SizeOf",
    "SkipStep",
    "Snag",
    "SnagOver",
    "StartLine",
    "StartTightening",
    "StartTimer",
    "StopListening",
    "StopTimer",
    "TechnicianJoins",
    "TechnicianLeaves",
    "TechnicianSpeaks",
    "Tick",
    "TightenedHere",
    "TightenedOtherwise",
    "TimeCheck",
    "TimerLeft",
    "ToolsBack",
    "TorqueOf",
    "Understood",
    "Undo",
    "UseUnit",
    "UseWrench",
    "VoiceOff",
    "VoiceOn",
    "WasHold",
    "WasWork",
    "WhatAfterThat",
    "WhatDoINeed",
    "WhatIsLoose",
    "WhatNext",
    "WhatSize",
    "WhatWasFound",
    "WhatWasSkipped",
    "WhereAmI",
    "WhichFollowUps",
    "WhichJob",
    "WhichParts",
    "WhichTools",
    "WhoIsHere",
]
