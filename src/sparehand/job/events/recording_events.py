"""What was found, made, renewed, understood or has become true."""

from __future__ import annotations

from typing import Literal

from sparehand.ground.bounds import Measured
from sparehand.job.events.words_events import Fact
from sparehand.procedures.model import FindingAnswer, Side
from sparehand.procedures.quantities import TorqueUnit
from sparehand.procedures.vehicle import ConditionWay, Stance, VehicleEnd


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
    axle: Literal["front", "rear"] | None = None
    way: ConditionWay = "on its wheels"


class GatePassed(Fact):
    """Something that must be true before the vehicle moves was confirmed."""

    kind: Literal["gate passed"] = "gate passed"
    gate: str


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
    value: Measured
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


class UnitChosen(Fact):
    """Torques are spoken in this unit from now on."""

    kind: Literal["unit chosen"] = "unit chosen"
    unit: TorqueUnit


class ToldWithoutStep(Fact):
    """Something is so though its step was skipped, said by name and confirmed.

    `against` is what the record said until then. A fastener is in by it, how tight nobody knows.
    """

    kind: Literal["told without step"] = "told without step"
    what: Literal["fastener in", "component on", "mark made"]
    about: str
    side: Side | None = None
    against: str = ""


class PartNotRenewed(Fact):
    """A part that the procedure lists was not replaced, said by name."""

    kind: Literal["part not renewed"] = "part not renewed"
    part: str
    side: Side | None = None


class StanceChanged(Fact):
    """The vehicle, or one end of it, was said to be raised or lowered, apart from any step."""

    kind: Literal["stance changed"] = "stance changed"
    end: VehicleEnd
    stance: Stance


RecordingEvent = (
    PartRenewed
    | PartNotRenewed
    | ToldWithoutStep
    | StanceChanged
    | WarningUnderstood
    | WarningSkipped
    | ConditionChanged
    | GatePassed
    | FindingRecorded
    | MeasurementRecorded
    | MarkMade
    | MarkFound
    | UnitChosen
)
