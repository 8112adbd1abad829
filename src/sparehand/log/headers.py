"""What a list of jobs shows, told by the events themselves."""

from __future__ import annotations

from collections.abc import Sequence

from sparehand.ground.errors import FailureError
from sparehand.job.events import JobClosed, JobOpened, Recorded, Undone
from sparehand.log.store import JobHeader


def require_in_order(job: str, first: int, recorded: Sequence[Recorded]) -> None:
    """Raise ValueError unless these are events of `job` from `first` on, with its opening first and only there.

    Anything else is a mistake in the program.
    """
    told = [(one.job, one.sequence) for one in recorded]
    if not told or told != [(job, first + place) for place in range(len(told))]:
        raise ValueError(f"events {told} are not those of job {job} from {first} on")
    for one in recorded:
        if isinstance(one.event, JobOpened) != (one.sequence == 0):
            raise ValueError(f"job {job} cannot have '{one.event.kind}' as event {one.sequence}")


def header_of(events: Sequence[Recorded]) -> JobHeader:
    """The header that a job's events tell. Raises FailureError where they do not begin with its opening."""
    first = events[0]
    if not isinstance(first.event, JobOpened):
        raise FailureError(f"job {first.job} does not begin with its opening; see `sparehand log verify {first.job}`")
    opened = first.event
    return JobHeader(
        id=first.job,
        procedure=opened.procedure.id,
        opened_at=first.at.wall,
        open=closed_batch(events) is None,
        technician=opened.technician,
        vehicle=opened.vehicle.name,
    )


def closed_batch(events: Sequence[Recorded], before: int | None = None) -> int | None:
    """The batch that closed the job, or None while it is open; `before` is what earlier events left."""
    closed = before
    for recorded in events:
        if isinstance(recorded.event, JobClosed):
            closed = recorded.batch
        elif isinstance(recorded.event, Undone) and closed is not None and recorded.event.batch <= closed:
            closed = None
    return closed
