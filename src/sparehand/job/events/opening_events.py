"""A job begins, and the bench takes it up again."""

from __future__ import annotations

from typing import Literal
from uuid import UUID

from pydantic import Field

from sparehand.ground.bounds import MILLISECONDS, Milliseconds, Name, Whole
from sparehand.job.events.words_events import Corrosion, DistanceUnit, Fact, GapAnswer, Support
from sparehand.procedures.model import Procedure, Side
from sparehand.procedures.quantities import TorqueUnit


class Vehicle(Fact):
    """The vehicle as entered at the opening; nobody knows the unit of an odometer that has none."""

    name: str = ""
    identification: str = ""
    odometer: Whole | None = None
    odometer_unit: DistanceUnit | None = None
    corrosion: Corrosion = "unknown"
    support: Support = "unknown"


class JobOpened(Fact):
    """A job begins: the procedure it will follow to the end is part of the event.

    `pictures` names the files in which the job keeps what its steps show, by their paths in the procedure.
    """

    kind: Literal["job opened"] = "job opened"
    procedure: Procedure
    procedure_sha256: str
    operations: tuple[str, ...]
    sides: tuple[Side, ...]
    technician: Name
    vehicle: Vehicle
    torque_unit: TorqueUnit = "N·m"
    complaint: str = ""
    rework_of: str | None = None
    pictures: dict[str, UUID] = Field(default_factory=dict)


class BenchStarted(Fact):
    """The bench takes the job up again after it was stopped or lost power; what lies between is a gap."""

    kind: Literal["bench started"] = "bench started"


class BenchStopped(Fact):
    """The bench stops in good order with the job still open."""

    kind: Literal["bench stopped"] = "bench stopped"


class BenchAlive(Fact):
    """The bench still runs: written now and then, so that a power cut costs minutes of known time, not hours."""

    kind: Literal["bench alive"] = "bench alive"


class ClockStepped(Fact):
    """The wall clock was found to have been set by so much, forward or back, against the steady clock."""

    kind: Literal["clock stepped"] = "clock stepped"
    by_ms: int = Field(ge=-MILLISECONDS, le=MILLISECONDS)


class BenchSlept(Fact):
    """The bench stood still for so long until now, as a laptop does that is shut; that time is a gap."""

    kind: Literal["bench slept"] = "bench slept"
    asleep_ms: Milliseconds


class GapExplained(Fact):
    """The technician says what the last gap was."""

    kind: Literal["gap explained"] = "gap explained"
    was: GapAnswer


OpeningEvent = JobOpened | BenchStarted | BenchStopped | BenchAlive | BenchSlept | ClockStepped | GapExplained
