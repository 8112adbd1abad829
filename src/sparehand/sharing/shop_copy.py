"""What the other benches of the shop have shared, as this bench keeps it: a copy that can be deleted and had again.

It is a database of its own beside the log, of the same form, so that fetching never holds the log's lock while a job is
recorded.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from itertools import islice
from pathlib import Path

from sqlalchemy import Connection, delete, insert, select, update

from sparehand.ground.bounds import WORDS_CHARACTERS
from sparehand.ground.terminal import printable
from sparehand.log.connection import among, plain_errors, reading, writing
from sparehand.log.packed_jobs import admitted_job, from_values, row_of
from sparehand.log.phase_times import PACKED, put_jobs, require_sealed
from sparehand.log.shown_names import seal_of_person
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import DamagedLogError
from sparehand.log.tables import JOB_TIMES, PEOPLE
from sparehand.log.tally_tables import set_aside
from sparehand.log.time_rows import CellError
from sparehand.log.wire import from_wire
from sparehand.sharing.admission import Fetched, SetAside
from sparehand.sharing.open_job import OpenJob
from sparehand.sharing.parcel import SentPerson, SentSummary
from sparehand.sharing.summaries import BENCH_MARK
from sparehand.sharing.sync_state import FOLDER

COPY_FILE = "shop.sqlite"
SET_ASIDE_AT_MOST = 1_000
"""How many rows are listed; more is no list that anybody reads."""
_OWN_TABLES = (
    "CREATE TABLE IF NOT EXISTS set_aside (row TEXT PRIMARY KEY, sender TEXT NOT NULL, reason TEXT NOT NULL)",
    "CREATE TABLE IF NOT EXISTS pulled (installation TEXT PRIMARY KEY, push INTEGER NOT NULL)",
    "CREATE TABLE IF NOT EXISTS noted (job TEXT NOT NULL, sequence INTEGER NOT NULL, body TEXT NOT NULL, "
    "PRIMARY KEY (job, sequence))",
    "CREATE TABLE IF NOT EXISTS open_jobs (body TEXT NOT NULL)",
)


class ShopCopy:
    """The copy in a data folder, made when first fetched into."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / FOLDER / COPY_FILE
        self._store = SqliteEventStore(self.path)
        with plain_errors(self.path), writing(self._store.engine) as connection:
            older = not has_table(connection, "set_aside")
            for table in _OWN_TABLES:
                connection.exec_driver_sql(table)
            if older:
                _leave_out_unreadable(connection)

    def pulled(self) -> dict[str, int]:
        """The last push that was fetched, by installation."""
        with plain_errors(self.path), reading(self._store.engine) as connection:
            rows = connection.exec_driver_sql("SELECT installation, push FROM pulled").all()
        return {row.installation: row.push for row in rows}

    def take(self, fetched: Fetched) -> int:
        """Keep what was fetched, in place of earlier revisions; gives the number of phase times that are there now."""
        with plain_errors(self.path), writing(self._store.engine) as connection:
            _name(connection, fetched.people)
            _list_aside(connection, fetched.aside)
            for event in fetched.noted:
                row = (str(event.job), event.sequence, event.body)
                connection.exec_driver_sql("INSERT OR REPLACE INTO noted VALUES (?, ?, ?)", row)
            latest = {summary.job: summary for summary in fetched.summaries}
            set_aside(connection, {summary.times.procedure for summary in latest.values()})
            taken = _take_summaries(connection, latest.values())
            connection.exec_driver_sql(
                "INSERT INTO pulled VALUES (?, ?) ON CONFLICT (installation) DO UPDATE SET push = excluded.push",
                (fetched.installation, fetched.upto_push),
            )
        return taken

    def set_aside(self) -> tuple[SetAside, ...]:
        """What the others sent that is out of bounds, by its name in the database."""
        with plain_errors(self.path), reading(self._store.engine) as connection:
            rows = connection.exec_driver_sql("SELECT row, sender, reason FROM set_aside ORDER BY row")
            return tuple(SetAside(*row) for row in rows)

    def list_aside(self, rows: Iterable[SetAside]) -> None:
        """List rows as set aside."""
        with plain_errors(self.path), writing(self._store.engine) as connection:
            _list_aside(connection, rows)

    def no_more_aside(self, rows: Iterable[str]) -> None:
        """Take rows off the list, for the shared database has them no more."""
        with plain_errors(self.path), writing(self._store.engine) as connection:
            for row in rows:
                connection.exec_driver_sql("DELETE FROM set_aside WHERE row = ?", (row,))

    def take_open_jobs(self, jobs: Iterable[OpenJob], people: Iterable[SentPerson], aside: Iterable[SetAside]) -> None:
        """Keep what the others' benches told of their open jobs, in place of what they told before."""
        with plain_errors(self.path), writing(self._store.engine) as connection:
            _name(connection, people)
            _list_aside(connection, aside)
            connection.exec_driver_sql("DELETE FROM open_jobs")
            for job in jobs:
                connection.exec_driver_sql("INSERT INTO open_jobs VALUES (?)", (job.model_dump_json(),))

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


def forget_in_shop_copy(folder: Path, name: str) -> int:
    """Blank a name in the copy, where there is one; gives how many people had it."""
    path = folder / FOLDER / COPY_FILE
    if not path.exists():
        return 0
    store = SqliteEventStore(path)
    try:
        with plain_errors(path), writing(store.engine) as connection:
            for id in connection.scalars(select(PEOPLE.c.id).where(PEOPLE.c.name == name)).all():
                mine = 'DELETE FROM noted WHERE body LIKE ? AND body NOT LIKE \'%"kind":"job opened"%\''
                connection.exec_driver_sql(mine, (f'%"technician":"{id}"%',))
        return store.forget_person(name)
    finally:
        store.close()


def _take_summaries(connection: Connection, summaries: Collection[SentSummary]) -> int:
    """Jobs' times in place of those before.

    An imported job that is known by as many rows or more stays, and so does one that has a name of another bench's job.
    """
    there = JOB_TIMES.c.job.in_(among(summary.times.job for summary in summaries))
    query = select(JOB_TIMES.c.job, *PACKED).where(there)
    known = {name: from_values(values).rows for name, *values in connection.execute(query)}
    fresh = {
        each.times.job: each
        for each in summaries
        if not each.imported or known.get(each.times.job, 0) < (1 if BENCH_MARK in each.times.job else each.revision)
    }
    connection.execute(delete(JOB_TIMES).where(JOB_TIMES.c.job.in_(among(fresh.keys() & known.keys()))))
    put_jobs(
        connection,
        (row_of(each.times, rework=each.rework, imported=True) for each in fresh.values() if each.times.rows),
    )
    return sum(each.times.rows for each in fresh.values())


def _name(connection: Connection, people: Iterable[SentPerson]) -> None:
    rows = [{"id": one.person, "name": one.name, "seal": seal_of_person(one.person, one.name)} for one in people]
    if rows:
        connection.execute(insert(PEOPLE).prefix_with("OR IGNORE"), rows)


def has_table(connection: Connection, name: str) -> bool:
    """Whether the copy has a table of that name, which one of an earlier version may not have."""
    return bool(connection.exec_driver_sql("SELECT 1 FROM sqlite_master WHERE name = ?", (name,)).first())


def _list_aside(connection: Connection, rows: Iterable[SetAside]) -> None:
    room = SET_ASIDE_AT_MOST - int(connection.exec_driver_sql("SELECT count(*) FROM set_aside").scalar_one())
    for one in islice(rows, room):
        row = (one.row, one.sender, printable(one.reason)[:WORDS_CHARACTERS])
        connection.exec_driver_sql("INSERT OR REPLACE INTO set_aside VALUES (?, ?, ?)", row)


def _leave_out_unreadable(connection: Connection) -> None:
    """What an earlier version took from outside and cannot be read goes; all is fetched again, and set aside by row."""
    for *values, place, seal in connection.execute(select(*PACKED, JOB_TIMES.c.place, JOB_TIMES.c.seal)).all():
        job = from_values(values)
        try:
            require_sealed(job, seal)
            admitted_job(job)
        except (CellError, DamagedLogError):
            set_aside(connection, [job.procedure])
            connection.execute(delete(JOB_TIMES).where(JOB_TIMES.c.place == place))
    for event in connection.exec_driver_sql("SELECT rowid, body FROM noted").all():
        try:
            from_wire(event.body, str)
        except DamagedLogError:
            connection.exec_driver_sql("DELETE FROM noted WHERE rowid = ?", (event.rowid,))
    connection.exec_driver_sql("DELETE FROM pulled")
