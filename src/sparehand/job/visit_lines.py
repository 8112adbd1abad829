"""Lines of work beside the procedure, follow-ups, and who pays, as a job knows them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from decimal import Decimal

from sparehand.ground.clock import Moment
from sparehand.job.events.visit_events import ApprovedHours, LineWork, Payer
from sparehand.job.events.words_events import DistanceUnit
from sparehand.procedures.model import FollowUp
from sparehand.procedures.phase_order import Ways
from sparehand.procedures.plan import PhaseKey, RunPlan, concerns

WITHOUT_TECHNICIAN: LineWork = "work elsewhere"
"""The work that runs while the technician does something else."""


@dataclass(frozen=True)
class VisitLine:
    """A line of work. Its time is the technician's in the ledger, or `minutes` where it was put in at the desk."""

    number: int
    work: LineWork
    technician: str
    started: Moment | None = None
    ended: Moment | None = None
    minutes: float | None = None
    result: str = ""
    reference: str = ""
    distance: float | None = None
    distance_unit: DistanceUnit = "km"
    amount: Decimal | None = None
    payer: Payer = "customer"

    @property
    def runs(self) -> bool:
        """Whether it was started and is not over."""
        return self.started is not None and self.ended is None

    @property
    def occupies(self) -> bool:
        """Whether it takes the time of its technician now."""
        return self.runs and self.work != WITHOUT_TECHNICIAN

    @property
    def key(self) -> PhaseKey:
        """Where the ledger counts its time. A phase of a procedure has no space in its id."""
        return PhaseKey(f"{self.work} {self.number}")


def is_line(phase: str) -> bool:
    """Whether time that is counted under `phase` is that of a line, not of a phase of the procedure."""
    return " " in phase


@dataclass(frozen=True)
class FollowUpNote:
    """A follow-up: what is due, when, and how it ended. `done_on` is None while it is open."""

    id: str
    words: str
    due_on: date | None = None
    due_distance: float | None = None
    distance_unit: DistanceUnit = "km"
    due_hours: float | None = None
    done_on: datetime | None = None
    result: str = ""


@dataclass(frozen=True)
class EarlierDone:
    """A follow-up of an earlier job that was done in this one."""

    job: str
    follow_up: str
    result: str
    done_on: datetime


@dataclass(frozen=True)
class Visit:
    """What surrounds the procedure of a job."""

    lines: tuple[VisitLine, ...] = ()
    payers: Mapping[str, Payer] = field(default_factory=dict)
    follow_ups: tuple[FollowUpNote, ...] = ()
    others_done: tuple[EarlierDone, ...] = ()
    estimate: str | None = None
    approved: tuple[ApprovedHours, ...] = ()

    def occupying(self, technician: str) -> VisitLine | None:
        """The line that takes the time of a technician now."""
        return next((line for line in self.lines if line.occupies and line.technician == technician), None)

    def payer_of(self, operation: str) -> Payer:
        """Who pays for an operation; the customer unless somebody said otherwise."""
        return self.payers.get(operation, "customer")


def follow_ups_brought(plan: RunPlan, ways: Ways) -> tuple[FollowUp, ...]:
    """The follow-ups that the operations of a run bring on its sides, and the ways that were chosen."""
    procedure = plan.procedure
    wanted = {id for operation in plan.operations for id in procedure.operation(operation).follow_ups}
    for key, chosen in ways.items():
        wanted |= {id for way in procedure.phase(key.phase).ways if way.id == chosen for id in way.follow_ups}
    return tuple(entry for entry in procedure.follow_ups if entry.id in wanted and concerns(entry, plan.sides))


def all_follow_ups(visit: Visit, follow_ups: Iterable[FollowUp]) -> tuple[FollowUpNote, ...]:
    """The follow-ups of a job: those that its work brings, then those that somebody added."""
    noted = {note.id: note for note in visit.follow_ups}
    brought = [FollowUpNote(entry.id, entry.text) for entry in follow_ups]
    return (*(noted.pop(note.id, note) for note in brought), *noted.values())
