"""What the log knows of time, as types: the timesheet of a job, and its phase times for estimates."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field

from sparehand.ground.bounds import Wall
from sparehand.procedures.model import Side

Seconds = Annotated[float, Field(ge=0, allow_inf_nan=False)]


class TimeRecord(BaseModel):
    """Base: immutable, no unknown field."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class SnagTime(TimeRecord):
    """One snag: its kind and the worked seconds it cost."""

    kind: str
    seconds: Seconds


class PhaseTime(TimeRecord):
    """The time of one technician in one phase on one side. `work_seconds` includes the seconds of its snags."""

    phase: str
    side: Side | None = None
    technician: str
    work_seconds: Seconds
    held_seconds: Seconds
    snags: tuple[SnagTime, ...] = ()
    complete: bool


class HoldTime(TimeRecord):
    """The seconds held for one reason."""

    reason: str
    seconds: Seconds


class CorrectedTime(TimeRecord):
    """Work that was recorded in one phase and is counted in another, or as held, because somebody put it right."""

    technician: str
    from_phase: str
    from_side: Side | None = None
    to_phase: str
    to_side: Side | None = None
    counted_as: Literal["work", "hold"]
    seconds: Seconds
    why: str = ""


class PersonTime(TimeRecord):
    """The time of one technician on a job, from joining to leaving. work + held + gap = elapsed, to the millisecond."""

    technician: str
    work_seconds: Seconds
    held_seconds: Seconds
    gap_seconds: Seconds
    elapsed_seconds: Seconds


class Timesheet(TimeRecord):
    """All the time of a job, in person-hours. work + held + gap = elapsed, to the millisecond; so for each person."""

    job: str
    procedure: str
    opened_at: Wall
    technicians: tuple[str, ...]
    open: bool
    work_seconds: Seconds
    held_seconds: Seconds
    gap_seconds: Seconds
    elapsed_seconds: Seconds
    phases: tuple[PhaseTime, ...]
    holds: tuple[HoldTime, ...] = ()
    people: tuple[PersonTime, ...] = ()
    corrections: tuple[CorrectedTime, ...] = ()


class JobTimes(TimeRecord):
    """One job as the estimates see it, whether logged here or imported."""

    job: str
    opened_at: Wall
    procedure: str
    operations: tuple[str, ...]
    corrosion: Literal["none", "light", "heavy", "unknown"]
    support: Literal["lift", "stands", "unknown"]
    phases: tuple[PhaseTime, ...]
    rework: bool = False
    left_out: str | None = None
    """Why it does not count; "" where a person lets it count, None where nobody has decided."""


class KeptPhase(NamedTuple):
    """A phase time as a log keeps it; see PhaseTime. It was checked when it was written, and a seal says it is that."""

    phase: str
    side: Side | None
    technician: str
    work_seconds: float
    held_seconds: float
    snags: tuple[SnagTime, ...]
    complete: bool


class KeptJob(NamedTuple):
    """A job as a log keeps it, quick to make for very many; see JobTimes."""

    job: str
    opened_at: datetime
    procedure: str
    operations: tuple[str, ...]
    corrosion: Literal["none", "light", "heavy", "unknown"]
    support: Literal["lift", "stands", "unknown"]
    phases: tuple[KeptPhase, ...]
    rework: bool
    left_out: str | None

    def as_job_times(self) -> JobTimes:
        """The same as the estimates see it."""
        phases = tuple(PhaseTime.model_construct(**part._asdict()) for part in self.phases)
        return JobTimes.model_construct(**self._asdict() | {"phases": phases})
