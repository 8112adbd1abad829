"""What travels from a bench to the shared database at once: one transaction's worth."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from uuid import UUID, uuid5

from sparehand.ground.bounds import in_calendar
from sparehand.log.packed_jobs import PackedJob

_IMPORTS = UUID("6f2d3d4e-0a52-5d6c-9c1e-5b0d8f6a7e21")
"""The namespace (RFC 9562, version 5) of imported jobs."""


@dataclass(frozen=True)
class SentJob:
    """A job. Its opening event's id tells it from all others, whatever two benches call theirs."""

    job: UUID
    month: date
    name: str


@dataclass(frozen=True)
class SentEvent:
    """An event as the log keeps it, with the chain hash of the one before it.

    `redacted`: fields were left out, so that its own hash fits no more.
    """

    job: UUID
    month: date
    sequence: int
    kind: str
    body: str
    chain: bytes
    before: bytes
    redacted: bool


@dataclass(frozen=True)
class SentSummary:
    """The times of a job as they stand after event `revision`; of an imported one after so many rows.

    A later revision takes the place of an earlier one. One that is not `closed` takes back what was summed up before.
    """

    job: UUID
    month: date
    revision: int
    times: PackedJob
    """With technicians by their ids, and without phases where it is not closed."""
    rework: bool
    imported: bool
    closed: bool


@dataclass(frozen=True)
class SentPerson:
    """A person's id, with the name or pseudonym that goes with it; None where it was blanked."""

    person: str
    name: str | None


@dataclass(frozen=True)
class Offset:
    """How far a bench has sent its log: the last event and the last imported row, by their order of arrival."""

    event: int = 0
    row: int = 0


@dataclass(frozen=True)
class Parcel:
    """All of it, and how far the bench will have sent its log then; `left_out` names jobs that are out of bounds."""

    jobs: tuple[SentJob, ...]
    events: tuple[SentEvent, ...]
    summaries: tuple[SentSummary, ...]
    people: tuple[SentPerson, ...]
    upto: Offset
    left_out: tuple[str, ...] = ()


def month_of(moment: datetime) -> date:
    """The first day of the month of a moment, by UTC. Raises ValueError for a moment out of bounds."""
    moment = in_calendar(moment).astimezone(UTC)
    return date(moment.year, moment.month, 1)


def imported_job(name: str) -> UUID:
    """What tells an imported job from others: one that is imported on two benches is one job."""
    return uuid5(_IMPORTS, name)
