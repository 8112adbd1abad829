"""Questions to the bench: they change nothing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sparehand.procedures.quantities import TorqueUnit


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
class WhatDoINeed:
    """Name what this job needs at hand: sizes, wrenches, tools, parts and consumables."""


@dataclass(frozen=True)
class TimeCheck:
    """Say the time in this phase and on this job."""


@dataclass(frozen=True)
class TimerLeft:
    """Say what is left on each timer, or of the job where none runs."""


@dataclass(frozen=True)
class ReadWarning:
    """Read the warnings and cautions of the present step."""


@dataclass(frozen=True)
class Explain:
    """Read what the file says of the present step beside what to do."""

    what: Literal["why", "where", "compare"] = "why"


@dataclass(frozen=True)
class SayMore:
    """Go on with the list of which the last answer said the beginning."""


@dataclass(frozen=True)
class TorqueOf:
    """Say the tightening of a fastener of the file, in `unit` if one was named."""

    fastener: str
    unit: TorqueUnit | None = None


@dataclass(frozen=True)
class SizeOf:
    """Say what turns a fastener of the file, and what holds it."""

    fastener: str


@dataclass(frozen=True)
class HeldBy:
    """Say what holds the other side of a fastener of the file."""

    fastener: str


@dataclass(frozen=True)
class PartOf:
    """Say number and quantity of a part of the file."""

    part: str


@dataclass(frozen=True)
class TightenedHere:
    """Name what was tightened in this phase on this side."""


@dataclass(frozen=True)
class LeftOnThisSide:
    """Name the phases that are not done on this side."""


@dataclass(frozen=True)
class WhatAfterThat:
    """Read the step after the one just named; with `place` the one after that phase or step."""

    place: str = ""


@dataclass(frozen=True)
class WhichTools:
    """Name the tools of this step; with `place` those of that phase or step."""

    place: str = ""


@dataclass(frozen=True)
class PhaseTime:
    """Say the time worked in this phase; with `place` in that one."""

    place: str = ""


@dataclass(frozen=True)
class Help:
    """Say what can be said now."""


AskingCommand = (
    SayAgain
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
)
