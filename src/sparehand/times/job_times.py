"""What the log knows of time, as types: the timesheet of a job, and its phase times for estimates."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Annotated, Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field

from sparehand.ground.bounds import Wall
from sparehand.procedures.model import Side

JOINED_MARK = "+"
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
    """One job as the estimates see it, whether logged here or imported.

    What was done in it of other procedures is in `joined`, each as a job of its own, for their estimates.
    """

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
    joined: tuple[JobTimes, ...] = ()


def joined_job(job: str, procedure: str) -> str:
    """Under which name the work of a procedure that joined a job is kept."""
    return f"{job}{JOINED_MARK}{procedure}"


class PhaseSpec(NamedTuple):
    """A phase time but for its seconds; see PhaseTime. Very many jobs share the same ones."""

    phase: str
    side: Side | None
    technician: str
    snags: tuple[SnagTime, ...]
    complete: bool


class KeptJob(NamedTuple):
    """A job as a log keeps it, quick to make for very many; see JobTimes. Its seconds are in the order of `specs`.

    It was checked when it was written, and a seal says that it is that.
    """

    job: str
    opened_at: datetime
    procedure: str
    operations: tuple[str, ...]
    corrosion: Literal["none", "light", "heavy", "unknown"]
    support: Literal["lift", "stands", "unknown"]
    specs: tuple[PhaseSpec, ...]
    work_seconds: Sequence[float]
    held_seconds: Sequence[float]
    rework: bool
    left_out: str | None

    def as_job_times(self) -> JobTimes:
        """The same as the estimates see it."""
        timed = zip(self.specs, self.work_seconds, self.held_seconds, strict=True)
        phases = tuple(
            PhaseTime.model_construct(**spec._asdict(), work_seconds=work, held_seconds=held)
            for spec, work, held in timed
        )
        told = {name: getattr(self, name) for name in JobTimes.model_fields if name not in ("phases", "joined")}
        return JobTimes.model_construct(**told, phases=phases)
