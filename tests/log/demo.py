"""A small invented job for the log's tests: a procedure of one phase, and events as a bench would record them."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from uuid import UUID

from sparehand.ground.clock import Moment
from sparehand.job.events import Event, HoldEnded, HoldStarted, JobClosed, JobOpened, Recorded, Vehicle
from sparehand.procedures.model import Operation, Phase, Procedure, Source, Step

PROCEDURE = Procedure(
    format=1,
    id="demo-bracket",
    title="Renew the demo bracket",
    demo=True,
    vehicle="Demo vehicle",
    sides=("left", "right"),
    source=Source(title="Invented for tests", edition="1", answered_for_by="nobody"),
    operations=(Operation(id="renew", title="Renew the bracket", phases=("fit",)),),
    phases=(Phase(id="fit", title="Fit it", steps=(Step(id="offer-up", say="Offer it up."),)),),
)

MORNING = datetime(2026, 11, 25, 8, 30, tzinfo=UTC)


def opening(technician: str = "Ida Demo", vehicle: str = "Demo van 12") -> JobOpened:
    """The opening of a job on an invented vehicle."""
    return JobOpened(
        procedure=PROCEDURE,
        procedure_sha256="00" * 32,
        operations=("renew",),
        sides=("left",),
        technician=technician,
        vehicle=Vehicle(name=vehicle),
    )


def recorded(job: str, first: int, *events: Event, technician: str = "Ida Demo") -> tuple[Recorded, ...]:
    """Events of one decision in their envelopes, one second apart; ids follow from job and place."""
    return tuple(_in_envelope(job, first, first + place, event, technician) for place, event in enumerate(events))


def long_job(job: str, length: int, event_at: Callable[[int], Event] | None = None) -> tuple[Recorded, ...]:
    """An opening and holds after it, `length` events in all."""
    told = event_at or (lambda place: HoldEnded() if place % 2 == 0 else HoldStarted(reason="parts"))
    return tuple(one for place in range(length) for one in recorded(job, place, told(place) if place else opening()))


def closing() -> JobClosed:
    """The end of a job with nothing left open."""
    return JobClosed()


def _in_envelope(job: str, batch: int, sequence: int, event: Event, technician: str) -> Recorded:
    day = int(job[:6])
    return Recorded(
        id=UUID(int=(day << 64) + (hash_of(job) << 32) + sequence),
        job=job,
        sequence=sequence,
        batch=batch,
        at=Moment(wall=MORNING + timedelta(days=day - 261125, seconds=sequence), steady_ms=sequence * 1000, run="run"),
        bench="bench 1",
        technician=technician,
        event=event,
    )


def hash_of(job: str) -> int:
    """A number that tells jobs of one day apart, the same in every run."""
    return int.from_bytes(job[7:].encode()[-4:], "big")
