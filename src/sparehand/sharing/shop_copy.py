"""What the other benches of the shop have shared, as this bench keeps it: a copy that can be deleted and had again.

It is a database of its own beside the log, of the same form, so that fetching never holds the log's lock while a job is
recorded.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from uuid import UUID

from sqlalchemy import Connection, delete, func, insert, select, update

from sparehand.job.events import Recorded
from sparehand.log.connection import plain_errors, reading, writing
from sparehand.log.people import People, seal_of_person
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.tables import PEOPLE, PHASE_TIMES
from sparehand.log.tally_tables import set_aside
from sparehand.log.time_rows import seal_of
from sparehand.log.wire import from_wire
from sparehand.sharing.parcel import SentPerson, SentSummary
from sparehand.sharing.summaries import time_rows
from sparehand.sharing.sync_state import FOLDER
from sparehand.times.job_times import JobTimes

COPY_FILE = "shop.sqlite"
_AT_ONCE = 5_000
"""How many jobs a statement names: some builds of SQLite take no more than 32,766 values."""
_OWN_TABLES = (
    "CREATE TABLE IF NOT EXISTS pulled (installation TEXT PRIMARY KEY, push INTEGER NOT NULL)",
    "CREATE TABLE IF NOT EXISTS noted (job TEXT NOT NULL, sequence INTEGER NOT NULL, body TEXT NOT NULL, "
    "PRIMARY KEY (job, sequence))",
)


@dataclass(frozen=True)
class FetchedEvent:
    """An event of a job in which a lesson was kept, in its written form."""

    job: UUID
    sequence: int
    body: str


@dataclass(frozen=True)
class Fetched:
    """What one step of fetching brought: summaries (the later revision of a job comes later) and who is in them."""

    installation: str
    upto_push: int
    summaries: tuple[SentSummary, ...]
    people: tuple[SentPerson, ...]
    noted: tuple[FetchedEvent, ...] = ()


class ShopCopy:
    """The copy in a data folder, made when first fetched into."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / FOLDER / COPY_FILE
        self._store = SqliteEventStore(self.path)
        with plain_errors(self.path), writing(self._store.engine) as connection:
            for table in _OWN_TABLES:
                connection.exec_driver_sql(table)

    def pulled(self) -> dict[str, int]:
        """The last push that was fetched, by installation."""
        with plain_errors(self.path), reading(self._store.engine) as connection:
            rows = connection.exec_driver_sql("SELECT installation, push FROM pulled").all()
        return {row.installation: row.push for row in rows}

    def take(self, fetched: Fetched) -> int:
        """Keep what was fetched, in place of earlier revisions; gives the number of phase times that are there now."""
        with plain_errors(self.path), writing(self._store.engine) as connection:
            _name(connection, fetched.people)
            for event in fetched.noted:
                row = (str(event.job), event.sequence, event.body)
                connection.exec_driver_sql("INSERT OR REPLACE INTO noted VALUES (?, ?, ?)", row)
            latest = {summary.job: summary for summary in fetched.summaries}
            set_aside(connection, {summary.procedure for summary in latest.values()})
            summaries = tuple(latest.values())
            parts = (summaries[start : start + _AT_ONCE] for start in range(0, len(summaries), _AT_ONCE))
            taken = sum(_take_summaries(connection, part) for part in parts)
            connection.exec_driver_sql(
                "INSERT INTO pulled VALUES (?, ?) ON CONFLICT (installation) DO UPDATE SET push = excluded.push",
                (fetched.installation, fetched.upto_push),
            )
        return taken

    def notes(self) -> tuple[tuple[Recorded, ...], ...]:
        """The histories of the jobs with lessons, as far as they have to do with them."""
        with plain_errors(self.path), reading(self._store.engine) as connection:
            people = People(connection)
            rows = connection.exec_driver_sql("SELECT job, body FROM noted ORDER BY job, sequence")
            of_jobs = groupby(rows, key=lambda row: row.job)
            return tuple(tuple(from_wire(row.body, people.name_of) for row in of_job) for _, of_job in of_jobs)

    def recount(self) -> None:
        """Add up anew what came."""
        self._store.times.recount()

    def blank(self, people: Iterable[str]) -> None:
        """Blank the names of people who were forgotten in the shop."""
        with plain_errors(self.path), writing(self._store.engine) as connection:
            for person in people:
                blanked = {"name": None, "seal": seal_of_person(person, None)}
                known = PEOPLE.c.id == person
                connection.execute(update(PEOPLE).where(known, PEOPLE.c.name.is_not(None)).values(blanked))

    def close(self) -> None:
        """Let go of the file."""
        self._store.close()


def open_shop_copy(folder: Path) -> SqliteEventStore | None:
    """The copy to read from, where there is one; to be closed."""
    path = folder / FOLDER / COPY_FILE
    return SqliteEventStore(path, read_only=True) if path.exists() else None


def shop_copy_times(folder: Path, procedure: str | None = None) -> tuple[JobTimes, ...]:
    """The times of the other benches' jobs as they were last fetched, the oldest first; nothing where none were."""
    store = open_shop_copy(folder)
    if store is None:
        return ()
    try:
        return store.times.imported(procedure)
    finally:
        store.close()


def shop_copy_notes(folder: Path) -> tuple[tuple[Recorded, ...], ...]:
    """What the other benches' jobs with lessons tell of them: a history each, of the events that have to do with it."""
    path = folder / FOLDER / COPY_FILE
    if not path.exists():
        return ()
    copy = ShopCopy(folder)
    try:
        return copy.notes()
    finally:
        copy.close()


def forget_in_shop_copy(folder: Path, name: str) -> int:
    """Blank a name in the copy, where there is one; gives how many people had it."""
    path = folder / FOLDER / COPY_FILE
    if not path.exists():
        return 0
    store = SqliteEventStore(path)
    try:
        return store.forget_person(name)
    finally:
        store.close()


def _take_summaries(connection: Connection, summaries: Sequence[SentSummary]) -> int:
    """Jobs' times in place of those before; an imported job that is known by as many rows or more stays."""
    job = PHASE_TIMES.c.job
    names = [summary.name for summary in summaries]
    counted = select(job, func.count()).where(job.in_(names)).group_by(job)
    known = {name: int(count) for name, count in connection.execute(counted)}
    fresh = [each for each in summaries if not each.imported or known.get(each.name, 0) < each.revision]
    connection.execute(delete(PHASE_TIMES).where(job.in_([each.name for each in fresh if each.name in known])))
    rows = [
        vars(row) | {"rework": each.rework, "imported": True, "seal": seal_of(row)}
        for each in fresh
        for row in time_rows(each)
    ]
    if rows:
        connection.execute(insert(PHASE_TIMES), rows)
    return len(rows)


def _name(connection: Connection, people: Iterable[SentPerson]) -> None:
    rows = [{"id": one.person, "name": one.name, "seal": seal_of_person(one.person, one.name)} for one in people]
    if rows:
        connection.execute(insert(PEOPLE).prefix_with("OR IGNORE"), rows)
