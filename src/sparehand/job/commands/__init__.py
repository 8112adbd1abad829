"""What a technician can ask for, as types. Which words mean which command is data: the phrase table."""

from __future__ import annotations

from typing import get_args

from sparehand.job.commands.asking_commands import (
    AskingCommand,
    Explain as Explain,
    HeldBy as HeldBy,
    Help as Help,
    LeftOnThisSide as LeftOnThisSide,
    PartOf as PartOf,
    PhaseTime as PhaseTime,
    ReadWarning as ReadWarning,
    RepeatStep as RepeatStep,
    RepeatTorque as RepeatTorque,
    SayAgain as SayAgain,
    SayMore as SayMore,
    SizeOf as SizeOf,
    TightenedHere as TightenedHere,
    TimeCheck as TimeCheck,
    TimerLeft as TimerLeft,
    TorqueOf as TorqueOf,
    WhatAfterThat as WhatAfterThat,
    WhatDoINeed as WhatDoINeed,
    WhatIsLoose as WhatIsLoose,
    WhatNext as WhatNext,
    WhatSize as WhatSize,
    WhatWasSkipped as WhatWasSkipped,
    WhereAmI as WhereAmI,
    WhichParts as WhichParts,
    WhichTools as WhichTools,
)
from sparehand.job.commands.bench_commands import (
    BenchCommand,
    OtherJob as OtherJob,
    Quiet as Quiet,
    StopListening as StopListening,
    VoiceOff as VoiceOff,
    VoiceOn as VoiceOn,
    WhichJob as WhichJob,
)
from sparehand.job.commands.condition_commands import (
    ConditionCommand,
    PracticeOnly as PracticeOnly,
    SayCorrosion as SayCorrosion,
    SayOdometer as SayOdometer,
    SaySupport as SaySupport,
)
from sparehand.job.commands.departing_commands import (
    Depart as Depart,
    DepartingCommand,
    DepartureDecidedBy as DepartureDecidedBy,
    ExplainDeparture as ExplainDeparture,
    TightenedOtherwise as TightenedOtherwise,
)
from sparehand.job.commands.drafting_commands import (
    DraftingCommand,
    FastenerAgain as FastenerAgain,
    FastenerDoes as FastenerDoes,
    FastenerUse as FastenerUse,
    FastenerWaits as FastenerWaits,
    NameStep as NameStep,
    NewFastener as NewFastener,
    NewPhase as NewPhase,
    NewStep as NewStep,
    NotKnown as NotKnown,
)
from sparehand.job.commands.ending_commands import (
    Close as Close,
    Confirm as Confirm,
    EndingCommand,
    Park as Park,
    Refuse as Refuse,
    Undo as Undo,
)
from sparehand.job.commands.extra_commands import (
    AddOperation as AddOperation,
    Approve as Approve,
    Decline as Decline,
    DropOperation as DropOperation,
    ExtraCommand,
    LimitApproval as LimitApproval,
)
from sparehand.job.commands.finding_commands import (
    FindingCommand,
    FindingMeasures as FindingMeasures,
    FoundFault as FoundFault,
    FoundSomething as FoundSomething,
    WhatWasFound as WhatWasFound,
)
from sparehand.job.commands.moving_commands import (
    ChooseWay as ChooseWay,
    GoBack as GoBack,
    GoTo as GoTo,
    GoToSkipped as GoToSkipped,
    MovingCommand,
    Next as Next,
    NextPhase as NextPhase,
    OtherSide as OtherSide,
    Redo as Redo,
    SkipStep as SkipStep,
)
from sparehand.job.commands.noting_commands import (
    DropMemo as DropMemo,
    EndMemo as EndMemo,
    KeepLesson as KeepLesson,
    KeepMemo as KeepMemo,
    NoteTaken as NoteTaken,
    NotingCommand,
    PictureCame as PictureCame,
    TakePicture as TakePicture,
)
from sparehand.job.commands.opening_commands import (
    Begin as Begin,
    ChooseOperation as ChooseOperation,
    ChooseSides as ChooseSides,
    OpeningCommand,
)
from sparehand.job.commands.people_commands import (
    HandOver as HandOver,
    PeopleCommand,
    TechnicianJoins as TechnicianJoins,
    TechnicianLeaves as TechnicianLeaves,
    TechnicianSpeaks as TechnicianSpeaks,
    WhoIsHere as WhoIsHere,
)
from sparehand.job.commands.recording_commands import (
    AlreadyFitted as AlreadyFitted,
    AlreadyOn as AlreadyOn,
    CheckPassed as CheckPassed,
    ConditionHolds as ConditionHolds,
    ConditionOver as ConditionOver,
    Finding as Finding,
    KeepOldPart as KeepOldPart,
    Lifted as Lifted,
    MarkIsFound as MarkIsFound,
    MarkIsMade as MarkIsMade,
    MarkWasMade as MarkWasMade,
    PartAnswer as PartAnswer,
    RecordingCommand,
    Renewed as Renewed,
    Understood as Understood,
    UseUnit as UseUnit,
)
from sparehand.job.commands.tightening_commands import (
    MarkDone as MarkDone,
    Reading as Reading,
    StartTightening as StartTightening,
    TighteningCommand,
)
from sparehand.job.commands.timing_commands import (
    GoOn as GoOn,
    Hold as Hold,
    Snag as Snag,
    SnagOver as SnagOver,
    StartTimer as StartTimer,
    StopTimer as StopTimer,
    Tick as Tick,
    TimingCommand,
    WasHold as WasHold,
    WasWork as WasWork,
)
from sparehand.job.commands.tooling_commands import (
    ExtensionAtRightAngle as ExtensionAtRightAngle,
    ExtensionInLine as ExtensionInLine,
    ExtensionOff as ExtensionOff,
    HelperFor as HelperFor,
    PressSizeFits as PressSizeFits,
    SecondCheck as SecondCheck,
    ToolingCommand,
    ToolsBack as ToolsBack,
    UseWrench as UseWrench,
)
from sparehand.job.commands.visit_commands import (
    ChooseOperationPayer as ChooseOperationPayer,
    ChoosePayer as ChoosePayer,
    EndLine as EndLine,
    FollowUpIs as FollowUpIs,
    FollowUpsDue as FollowUpsDue,
    FollowUpsDueAt as FollowUpsDueAt,
    RoadTestDistance as RoadTestDistance,
    StartLine as StartLine,
    VisitCommand,
    WhichFollowUps as WhichFollowUps,
)

Command = (
    OpeningCommand
    | MovingCommand
    | FindingCommand
    | AskingCommand
    | BenchCommand
    | TighteningCommand
    | DepartingCommand
    | ToolingCommand
    | RecordingCommand
    | ConditionCommand
    | TimingCommand
    | EndingCommand
    | PeopleCommand
    | ExtraCommand
    | NotingCommand
    | DraftingCommand
    | VisitCommand
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
UNSPOKEN = frozenset({"Tick", "NoteTaken", "PictureCame"})
"""The commands that the bench itself sends, for which there are no words."""
