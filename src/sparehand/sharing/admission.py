"""What the others sent, held to the bounds before it is kept: what is out of them is set aside, the rest goes on."""

from __future__ import annotations

from dataclasses import dataclass, replace
from uuid import UUID

from sparehand.ground.bounds import LINE_CHARACTERS, ROWS_OF_JOB
from sparehand.log.store import DamagedLogError
from sparehand.log.time_rows import CellError, admitted_row
from sparehand.log.wire import from_wire
from sparehand.sharing.parcel import SentPerson, SentSummary, imported_job
from sparehand.sharing.summaries import time_rows


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
    people: tuple[SentPerson, ...]
    noted: tuple[FetchedEvent, ...] = ()
    sender: str = ""
    aside: tuple[SetAside, ...] = ()


def admit_fetched(fetched: Fetched) -> Fetched:
    """What of it can be read everywhere, the rest set aside."""
    summaries = {f"summary/{one.job}/{one.revision}": (one, _of_summary(one)) for one in fetched.summaries}
    events = {f"event/{one.job}/{one.sequence}": (one, _of_event(one)) for one in fetched.noted}
    reasons = [(row, why) for row, (_, why) in (*summaries.items(), *events.items()) if why]
    return replace(
        fetched,
        summaries=tuple(one for one, why in summaries.values() if not why),
        noted=tuple(one for one, why in events.values() if not why),
        aside=tuple(SetAside(row, fetched.sender, why) for row, why in reasons),
    )


def _of_summary(summary: SentSummary) -> str:
    """What is wrong with a summary, in a few words; nothing where it is sound."""
    if len(summary.phases) > ROWS_OF_JOB:
        return f"has {len(summary.phases)} phase times, {ROWS_OF_JOB} at most"
    if summary.imported and (summary.job, summary.revision) != (imported_job(summary.name), len(summary.phases)):
        return "is not the imported job that it says it is"
    try:
        for row in time_rows(summary):
            admitted_row(replace(row, technician=row.technician or "nobody"))
    except CellError as error:
        return f"{error.column} {error.says}"
    except (TypeError, ValueError) as error:
        return f"has a value that cannot be read ({error})"
    return ""


def _of_event(event: FetchedEvent) -> str:
    if len(event.body) > LINE_CHARACTERS:
        return f"has {len(event.body)} characters, {LINE_CHARACTERS} at most"
    try:
        recorded = from_wire(event.body, str)
    except DamagedLogError as error:
        return str(error.__cause__ and str(error.__cause__).splitlines()[0])
    return "" if recorded.sequence == event.sequence else "has another number than it says"
