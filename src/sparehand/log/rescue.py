"""A new log out of a damaged one, with the names of exactly what was lost."""

from __future__ import annotations

import tempfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import count, takewhile
from pathlib import Path

from sqlalchemy import Connection, insert, select

from sparehand.ground.errors import InputError
from sparehand.ground.plurals import are, how_many
from sparehand.log.connection import plain_errors, writing
from sparehand.log.durable import write_durably
from sparehand.log.event_rows import StoredEvent, insert_stored, update_header
from sparehand.log.marks import Mark, Marks
from sparehand.log.packed_jobs import row_of
from sparehand.log.phase_times import put_jobs
from sparehand.log.salvage import Salvage, salvage
from sparehand.log.shown_names import seal_of_person
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import DamagedLogError
from sparehand.log.tables import JOB_TIMES, PEOPLE, VISIT_RECORDS
from sparehand.log.tally_tables import set_aside
from sparehand.log.visit_records import seal_of_visit
from sparehand.log.wire import chain_start, chained, from_wire, people_in


@dataclass(frozen=True)
class RescuedJob:
    """What became of a job: `kept` events from its beginning, the numbers lost, and those found behind a loss."""

    job: str
    kept: int
    lost: tuple[int, ...]
    unplaced: tuple[int, ...]
    end_known: bool

    def __str__(self) -> str:
        said = [f"{how_many(self.kept, 'event')} kept"]
        if self.lost:
            said.append(f"lost: {spans(self.lost)}")
        if self.unplaced:
            said.append(f"readable but behind a loss: {spans(self.unplaced)}")
        if not self.end_known:
            said.append("how far it went is not known")
        return f"job {self.job}: {'; '.join(said)}"


@dataclass(frozen=True)
class RescueReport:
    """What became of a log. `unplaced_file` holds the events that cannot be replayed, as lines of JSON to read."""

    jobs: tuple[RescuedJob, ...]
    nameless: tuple[str, ...]
    times_kept: int
    unplaced_file: Path | None

    @property
    def lines(self) -> tuple[str, ...]:
        """The report, a line a fact: what was lost first, then what is whole."""
        hurt = [str(job) for job in self.jobs if job.lost or job.unplaced or not job.end_known]
        whole = len(self.jobs) - len(hurt)
        told = [*hurt, f"{whole} of {how_many(len(self.jobs), 'job')} {are(whole)} whole"]
        if self.nameless:
            told.append(f"names lost: {how_many(len(self.nameless), 'technician')} shown as forgotten")
        if self.times_kept:
            told.append(f"imported phase times: {self.times_kept} kept; import their files again to be sure of all")
        if self.unplaced_file:
            told.append(f"events behind a loss are in {self.unplaced_file}; look at the vehicle before you go on")
        return tuple(told)


def rescue(damaged: Path, target: Path) -> RescueReport:
    """Make a new log at `target` of all that is whole in the one at `damaged`, which stays as it is.

    Of each job the events up to its first loss go into the new log: behind one, what is loose or done is not known any
    more, so later events are only written out to be read. Raises InputError where there is nothing to rescue.
    """
    with plain_errors(damaged):
        if not damaged.is_file():
            raise InputError(f"there is no log at {damaged}")
        if target.exists():
            raise InputError(f"{target} exists already; name another place for the rescued log")
    marks = Marks(damaged.with_suffix(".marks")).read_all()
    with plain_errors(damaged), tempfile.TemporaryDirectory(dir=target.parent) as scratch:
        found = salvage(damaged, Path(scratch))
    by_job: dict[str, list[StoredEvent]] = {job: [] for job in sorted(found.jobs | set(marks))}
    for job, one in found.events:
        by_job.setdefault(job, []).append(one)
    sorted_out = [_sort_out(job, events, marks.get(job)) for job, events in by_job.items()]
    unplaced = [one for _, _, behind in sorted_out for one in behind]
    nameless = _nameless(found, [one for _, kept, _ in sorted_out for one in kept])
    times_kept = _fill(target, found, nameless, {said.job: kept for said, kept, _ in sorted_out if kept})
    return RescueReport(
        tuple(said for said, _, _ in sorted_out), nameless, times_kept, _write_unplaced(target, unplaced)
    )


def _fill(target: Path, found: Salvage, nameless: Sequence[str], jobs: Mapping[str, Sequence[StoredEvent]]) -> int:
    """Make the new log; gives the number of imported phase times in it."""
    store = SqliteEventStore(target)
    with plain_errors(target):
        with writing(store.engine) as connection:
            for id, name in (*found.people, *((id, None) for id in nameless)):
                person = {"id": id, "name": name, "seal": seal_of_person(id, name)}
                connection.execute(insert(PEOPLE).prefix_with("OR IGNORE").values(person))
            for job, kept in jobs.items():
                insert_stored(connection, job, kept)
                update_header(connection, job, [from_wire(one.body, str) for one in kept], str)
            times_kept = _put_times(connection, found)
            _put_visits(connection, found)
            set_aside(connection, connection.scalars(select(JOB_TIMES.c.procedure).distinct()).all())
            marks = {job: Mark(kept[-1].sequence, kept[-1].chain) for job, kept in jobs.items()}
            store.marks.intend(marks)
        store.marks.replace(marks)
    store.close()
    return times_kept


def spans(numbers: Iterable[int]) -> str:
    """Numbers in order as spans: `3, 5 to 8`."""
    told: list[list[int]] = []
    for number in numbers:
        if told and number == told[-1][-1] + 1:
            told[-1].append(number)
        else:
            told.append([number])
    return ", ".join(f"{span[0]} to {span[-1]}" if len(span) > 1 else str(span[0]) for span in told)


def _sort_out(
    job: str, found: Sequence[StoredEvent], mark: Mark | None
) -> tuple[RescuedJob, list[StoredEvent], list[StoredEvent]]:
    """What of a job is whole from its beginning, and what can be read behind a loss."""
    intact = _intact(job, found)
    kept = [intact[place] for place in takewhile(intact.__contains__, count())]
    behind = [intact[place] for place in sorted(intact) if place >= len(kept)]
    ends = [one.sequence for one in found] + ([mark.sequence] if mark else [])
    lost = tuple(place for place in range(len(kept), max(ends, default=-1) + 1) if place not in intact)
    said = RescuedJob(job, len(kept), lost, tuple(one.sequence for one in behind), mark is not None)
    return said, kept, behind


def _intact(job: str, found: Sequence[StoredEvent]) -> dict[int, StoredEvent]:
    """The events that are what was written. One behind a gap has nothing to be held against but its readability."""
    rows = {one.sequence: one for one in found}
    intact = {}
    for place, one in sorted(rows.items()):
        before = chain_start(job) if place == 0 else rows[place - 1].chain if place - 1 in rows else None
        if (before is None or chained(before, one.body) == one.chain) and _readable(one.body):
            intact[place] = one
    return intact


def _readable(body: str) -> bool:
    try:
        from_wire(body, str)
    except DamagedLogError:
        return False
    return True


def _nameless(found: Salvage, kept: Sequence[StoredEvent]) -> tuple[str, ...]:
    """The people that events and times speak of, but whose row is gone."""
    spoken_of = {id for one in kept for id in people_in(one.body)}
    spoken_of |= {id for job in found.times for id in job.people}
    return tuple(sorted(spoken_of - {id for id, _ in found.people}))


def _put_times(connection: Connection, found: Salvage) -> int:
    kept = 0
    for job in found.times:
        kept += job.rows * put_jobs(connection, [row_of(job, rework=False, imported=True)], "IGNORE")
    return kept


def _put_visits(connection: Connection, found: Salvage) -> None:
    """The records of visits that are what was written."""
    for values in found.visits:
        if values["seal"] == seal_of_visit(values):
            connection.execute(insert(VISIT_RECORDS).values(values))


def _write_unplaced(target: Path, unplaced: Sequence[StoredEvent]) -> Path | None:
    if not unplaced:
        return None
    path = target.with_suffix(".unplaced.jsonl")
    write_durably(path, "".join(f"{one.body}\n" for one in unplaced).encode())
    return path
