"""What was found, made, renewed or has become true."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from sparehand.procedures.model import FindingAnswer
from sparehand.procedures.quantities import TorqueUnit
from sparehand.procedures.vehicle import ConditionWay


@dataclass(frozen=True)
class UseUnit:
    """Speak torques in this unit from now on."""

    unit: TorqueUnit


@dataclass(frozen=True)
class Understood:
    """The warning just read is understood."""


@dataclass(frozen=True)
class Finding:
    """Answer the present inspection."""

    answer: FindingAnswer


@dataclass(frozen=True)
class Renewed:
    """The present step's use-once parts are new."""


@dataclass(frozen=True)
class KeepOldPart:
    """The old parts of the present step are kept."""


@dataclass(frozen=True)
class MarkIsMade:
    """The present step's mark is made."""


@dataclass(frozen=True)
class MarkIsFound:
    """The present step's mark was found again."""


@dataclass(frozen=True)
class ConditionHolds:
    """A condition of the procedure holds, by its id; empty for ride height, or for what may hold in that `way`."""

    condition: str = ""
    way: ConditionWay = "on its wheels"


@dataclass(frozen=True)
class ConditionOver:
    """A condition of the procedure holds no longer, by its id."""

    condition: str


@dataclass(frozen=True)
class Lifted:
    """The vehicle is off its wheels again, or one axle of it."""

    axle: Literal["front", "rear"] | None = None


@dataclass(frozen=True)
class CheckPassed:
    """The present step's gate is passed."""


@dataclass(frozen=True)
class AlreadyFitted:
    """A fastener that the record has as out is in, though its step was skipped; by its id."""

    fastener: str


@dataclass(frozen=True)
class AlreadyOn:
    """A component that the record has as off is on, though its step was skipped; by its id."""

    component: str


@dataclass(frozen=True)
class MarkWasMade:
    """The mark that is to be found, or that is still to be made here, was made without its step."""


@dataclass(frozen=True)
class PartAnswer:
    """A part that the procedure lists was renewed, or was not; by its id."""

    part: str
    renewed: bool


RecordingCommand = (
    UseUnit
    | Understood
    | Finding
    | Renewed
    | KeepOldPart
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
)
