"""What a technician can ask for, as types. Which words mean which command is data: the phrase table."""

from __future__ import annotations

from dataclasses import dataclass
from typing import get_args

from sparehand.job.events import HoldReason, LeaveReason, SnagKind
from sparehand.procedures.model import FindingAnswer, Side
from sparehand.procedures.quantities import TorqueUnit


@dataclass(frozen=True)
class ChooseOperation:
    """At the opening: add an operation of the procedure to the job, by its id."""

    operation: str


@dataclass(frozen=True)
class ChooseSides:
    """At the opening: the sides to work on."""

    sides: tuple[Side, ...]


@dataclass(frozen=True)
class Begin:
    """At the opening: everything is chosen, the job begins."""


@dataclass(frozen=True)
class Next:
    """Move on to the next step."""


@dataclass(frozen=True)
class MarkDone:
    """Confirm the present step or tightening stage; `count` pieces of it, or all that remain."""

    count: int | None = None


@dataclass(frozen=True)
class NextPhase:
    """End this phase's clock and start the next."""


@dataclass(frozen=True)
class GoBack:
    """Go to the step before."""


@dataclass(frozen=True)
class SkipStep:
    """Leave this step for later."""


@dataclass(frozen=True)
class GoTo:
    """Go to the first open step of a phase, by the phase's id."""

    phase: str


@dataclass(frozen=True)
class GoToSkipped:
    """Go to the first step that was skipped."""


@dataclass(frozen=True)
class Undo:
    """Take back what was recorded last."""


@dataclass(frozen=True)
class SayAgain:
    """Say the last answer again."""


@dataclass(frozen=True)
class RepeatStep:
    """Read the present step."""


@dataclass(frozen=True)
class RepeatTorque:
    """Say the torque of the present tightening stage, in `unit` if one was named."""

    unit: TorqueUnit | None = None


@dataclass(frozen=True)
class UseUnit:
    """Speak torques in this unit from now on."""

    unit: TorqueUnit


@dataclass(frozen=True)
class WhatSize:
    """Say the drive and counter-hold sizes of the present fasteners."""


@dataclass(frozen=True)
class WhatNext:
    """Read the step after this one, without going there."""


@dataclass(frozen=True)
class WhatIsLoose:
    """Name every fastener not at its final tightening."""


@dataclass(frozen=True)
class WhereAmI:
    """Say the phase, side and step, and how much is left."""


@dataclass(frozen=True)
class WhatWasSkipped:
    """Name the skipped steps."""


@dataclass(frozen=True)
class WhichParts:
    """Name the parts of this job, use-once marked."""


@dataclass(frozen=True)
class TimeCheck:
    """Say the time in this phase and on this job."""


@dataclass(frozen=True)
class ReadWarning:
    """Read the warnings and cautions of the present step."""


@dataclass(frozen=True)
class Understood:
    """The warning just read is understood."""


@dataclass(frozen=True)
class Hold:
    """Stop the work clock, with a reason."""

    reason: HoldReason


@dataclass(frozen=True)
class GoOn:
    """Work goes on after a hold."""


@dataclass(frozen=True)
class Snag:
    """Something costs worked time."""

    kind: SnagKind


@dataclass(frozen=True)
class SnagOver:
    """The snag is over."""


@dataclass(frozen=True)
class StartTimer:
    """Start the present step's timer, or one of `minutes`."""

    minutes: int | None = None


@dataclass(frozen=True)
class TimerLeft:
    """Say what is left on each timer, or of the job where none runs."""


@dataclass(frozen=True)
class StopTimer:
    """Stop the timer that is due next."""


@dataclass(frozen=True)
class Finding:
    """Answer the present inspection."""

    answer: FindingAnswer


@dataclass(frozen=True)
class Reading:
    """A value read off an instrument, as its digits were heard ("110", "46.5")."""

    digits: str


@dataclass(frozen=True)
class Renewed:
    """The present step's use-once parts are new."""


@dataclass(frozen=True)
class MarkIsMade:
    """The present step's mark is made."""


@dataclass(frozen=True)
class MarkIsFound:
    """The present step's mark was found again."""


@dataclass(frozen=True)
class AtRideHeight:
    """The vehicle stands at ride height."""


@dataclass(frozen=True)
class Lifted:
    """The vehicle is off its wheels again."""


@dataclass(frozen=True)
class CheckPassed:
    """The present step's gate is passed."""


@dataclass(frozen=True)
class CannotTighten:
    """The present fastener cannot be tightened: leave the procedure for it."""


@dataclass(frozen=True)
class StartTightening:
    """Start the present fastener again at its first stage."""


@dataclass(frozen=True)
class Confirm:
    """Yes to the open question."""


@dataclass(frozen=True)
class Refuse:
    """No to the open question."""


@dataclass(frozen=True)
class WasWork:
    """The gap was work."""


@dataclass(frozen=True)
class WasHold:
    """The gap was a hold."""


@dataclass(frozen=True)
class Park:
    """Leave the job for later."""


@dataclass(frozen=True)
class Close:
    """End the job; with a reason where something has to be left open."""

    reason: LeaveReason | None = None


@dataclass(frozen=True)
class Quiet:
    """Stop speaking now."""


@dataclass(frozen=True)
class Help:
    """Say what can be said now."""


@dataclass(frozen=True)
class Tick:
    """Time has passed: due timers ring, questions lapse. Sent by the bench, never spoken."""


Command = (
    ChooseOperation
    | ChooseSides
    | Begin
    | Next
    | MarkDone
    | NextPhase
    | GoBack
    | SkipStep
    | GoTo
    | GoToSkipped
    | Undo
    | SayAgain
    | RepeatStep
    | RepeatTorque
    | UseUnit
    | WhatSize
    | WhatNext
    | WhatIsLoose
    | WhereAmI
    | WhatWasSkipped
    | WhichParts
    | TimeCheck
    | ReadWarning
    | Understood
    | Hold
    | GoOn
    | Snag
    | SnagOver
    | StartTimer
    | TimerLeft
    | StopTimer
    | Finding
    | Reading
    | Renewed
    | MarkIsMade
    | MarkIsFound
    | AtRideHeight
    | Lifted
    | CheckPassed
    | CannotTighten
    | StartTightening
    | Confirm
    | Refuse
    | WasWork
    | WasHold
    | Park
    | Close
    | Quiet
    | Help
    | Tick
)

COMMANDS: dict[str, type[Command]] = {kind.__name__: kind for kind in get_args(Command)}
"""Every command by its name, as the phrase table names them."""
