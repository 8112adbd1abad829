"""What the others sent, held to the bounds before it is kept: what is out of them is set aside, the rest goes on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from uuid import UUID

from sparehand.ground.bounds import LINE_CHARACTERS
from sparehand.log.packed_jobs import admitted_job
from sparehand.log.store import DamagedLogError
from sparehand.log.time_rows import CellError
from sparehand.log.wire import from_wire
from sparehand.sharing.parcel import SentPerson, SentSummary, imported_job


@dataclass(frozen=True)
class FetchedEvent:
    """An event of a job in which a lesson was kept, in its written form."""

    job: UUID
    sequence: int
    body: str


@dataclass(frozen=True)
class SetAside:
    """A row that is not taken: what the database's owner calls it to drop it, the bench that sent it, and why."""

    row: str
    sender: str
    reason: str


@dataclass(frozen=True)
class Fetched:
    """What one step of fetching brought from the bench `sender`, and the rows `aside` that are out of bounds.

    Of the summaries the later revision of a job comes later.
    """

    installation: str
    upto_push: int
    summaries: tuple[SentSummary, ...]
    noted: tuple[FetchedEvent, ...] = ()
    sender: str = ""
    people: tuple[SentPerson, ...] = ()
    aside: tuple[SetAside, ...] = ()


def admit_fetched(fetched: Fetched) -> Fetched:
    """What of it can be read everywhere, the rest set aside."""
    summaries: list[SentSummary] = []
    events: list[FetchedEvent] = []
    aside: list[SetAside] = []
    for one in fetched.summaries:
        try:
            summaries.append(_admitted(one))
        except CellError as error:
            row = f"summary/{one.job}/{one.revision}"
            aside.append(SetAside(row, fetched.sender, f"{error.column} {error.says}"))
    for event in fetched.noted:
        if why := _of_event(event):
            aside.append(SetAside(f"event/{event.job}/{event.sequence}", fetched.sender, why))
        else:
            events.append(event)
    return replace(fetched, summaries=tuple(summaries), noted=tuple(events), aside=tuple(aside))


def _admitted(summary: SentSummary) -> SentSummary:
    """Raises CellError for one that is out of bounds."""
    times = admitted_job(summary.times)
    if summary.imported and (summary.job, summary.revision) != (imported_job(times.job), times.rows):
        raise CellError("job", "is not the imported job that it says it is")
    return summary if times == summary.times else replace(summary, times=times)


def _of_event(event: FetchedEvent) -> str:
    if len(event.body) > LINE_CHARACTERS:
        return f"has {len(event.body)} characters, {LINE_CHARACTERS} at most"
    try:
        recorded = from_wire(event.body, str)
    except DamagedLogError as error:
        return str(error.__cause__ and str(error.__cause__).splitlines()[0])
    return "" if recorded.sequence == event.sequence else "has another number than it says"
