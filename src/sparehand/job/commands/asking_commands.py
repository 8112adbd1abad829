"""Questions to the bench: they change nothing."""

from __future__ import annotations

from dataclasses import dataclass

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
class Help:
    """Say what can be said now."""
