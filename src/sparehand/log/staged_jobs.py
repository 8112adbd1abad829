"""Jobs of a file on their way into the log: set aside in a temporary table, judged as a whole, then taken.

The database finds the jobs that are known or that the file tells in several places; only these are gone through row by
row (`merging`). So a million rows need little memory and no lock while they are read.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from itertools import chain, groupby
from operator import itemgetter

from sqlalchemy import Connection, insert, select

from sparehand.ground.bounds import ROWS_OF_JOB
from sparehand.ground.ids import new_person_id
from sparehand.log.jobs_in_file import FileJob, RowError
from sparehand.log.merging import KnownJob, distinct_rows, merge, people_who_agree
from sparehand.log.packed_jobs import (
    PackedJob,
    cells_of,
    kept_job,
    opened_of,
    people_of,
    seal_of,
    with_people,
)
from sparehand.log.people import People
from sparehand.log.phase_times import judge
from sparehand.log.shown_names import seal_of_person
from sparehand.log.tables import PEOPLE
from sparehand.log.tally_tables import set_aside
from sparehand.log.wire import canonical
from sparehand.times.what_counts import CLICKED_THROUGH, judged

_LINES_AT_ONCE = 40_000
"""Of the file, a transaction: short enough that a job recorded meanwhile does not wait."""
_MERGED_AT_ONCE = 500
_PHASES_KNOWN = 4096
_JOB = PackedJob._fields
_OF_FILE = ", ".join(f"s.{column}" for column in _JOB)
_OF_LOG = ", ".join(f"t.{column}" for column in _JOB)
_SAME = "FROM staged s JOIN job_times t ON " + " AND ".join(f"t.{column} = s.{column}" for column in _JOB)
_IN_DOUBT = (
    "SELECT job FROM staged GROUP BY job "
    f"HAVING count(*) > 1 OR max(new) > max(distinct_rows) OR max(new) > {ROWS_OF_JOB} "
    "UNION SELECT s.job FROM staged s JOIN job_times t ON t.job = s.job"
)
"""The jobs that the file tells in several places, or with a row twice, or with too many rows, or that are known."""
_NEW = "FROM staged s LEFT JOIN job_times t ON t.job = s.job WHERE s.line >= ? AND s.line < ? AND t.place IS s.replaces"
_TAKE = (
    f"INSERT OR REPLACE INTO job_times ({', '.join(_JOB)}, rework, imported, left_out, opened, seal) "
    f"SELECT {_OF_FILE}, ifnull(t.rework, 0), 1, "
    f"CASE WHEN ifnull(t.left_out, '{CLICKED_THROUGH}') = '{CLICKED_THROUGH}' THEN s.left_out ELSE t.left_out END, "
    f"s.opened, s.seal {_NEW} ORDER BY s.line"
)
"""What a person decided of a job stays."""


PlannedOf = Callable[[str], Mapping[str, float]]
"""Gives the planned seconds of a procedure's phases by id; none where nothing is known of it."""


class StagedJobs:
    """The jobs of one file, in the connection's temporary table `staged`. Call `judge`, then perhaps `take`."""

    def __init__(self, connection: Connection, planned_of: PlannedOf) -> None:
        self._connection = connection
        self._planned = lru_cache(maxsize=None)(planned_of)
        self._people = People(connection)
        self._ids: dict[str, str] = {}
        self._new: dict[str, str] = {}
        """Names of people the log does not know, by the id that each will have."""
        self._same: dict[str, str] = {}
        """Other ids of people, by the id of the same person that the staged jobs have."""
        self._phases: dict[str, str] = {}
        self.rows = 0
        self.known = 0
        for table in ("staged", "merged"):
            told = ("line INTEGER PRIMARY KEY", "new", "distinct_rows", "replaces")
            columns = ", ".join((*told, *_JOB, "left_out", "opened", "seal"))
            self._run(f"CREATE TEMP TABLE {table} ({columns})")

    def add(self, jobs: Iterable[FileJob]) -> None:
        """Set jobs aside."""
        staged = []
        for line, job in jobs:
            *head, told, seconds = job
            phases = self._phases.get(told) or self._with_ids(told)
            rows = len(cells_of(phases))
            staged.append(self._staged(line, rows, distinct_rows(phases), None, (*head, phases, seconds)))
            self.rows += rows
        self._insert("staged", staged)

    def judge(self) -> tuple[RowError, ...]:
        """Drop the rows that are known already (counted in `known`) and those that are wrong; gives these."""
        self._run("CREATE INDEX temp.ix_staged ON staged (job)")
        self._know_people_by_rows()
        self.known += self._one(f"SELECT ifnull(sum(s.new), 0) {_SAME}")
        self._run(f"DELETE FROM staged WHERE line IN (SELECT s.line {_SAME})")
        errors: list[RowError] = []
        whole: list[tuple[object, ...]] = []
        for known, parts in self._in_doubt():
            merged = merge(known, parts, self._same)
            self.known += merged.known
            errors += merged.errors
            if merged.job:
                whole.append(self._staged(merged.job.line, merged.new, 0, known and known.place, merged.job.job))
            if len(whole) == _MERGED_AT_ONCE:
                self._insert("merged", whole)
                whole = []
        self._insert("merged", whole)
        self._run(f"DELETE FROM staged WHERE job IN ({_IN_DOUBT})")
        self._run("INSERT INTO staged SELECT * FROM merged")
        self._connection.commit()
        return tuple(sorted(errors, key=lambda error: error.line))

    def take(self) -> int:
        """Put what is left into the log; gives the number of rows that are new there.

        A job that was changed there meanwhile is left as it is: the same import again adds to it.
        """
        self._connection.execution_options(immediate=True)
        self._name_new_people()
        for procedure in self._connection.exec_driver_sql("SELECT DISTINCT procedure FROM staged").scalars().all():
            judge(self._connection, procedure, self._planned(procedure))
        last = self._one("SELECT ifnull(max(line), 0) FROM staged")
        taken = 0
        for start in range(0, last + 1, _LINES_AT_ONCE):
            lines = (start, start + _LINES_AT_ONCE)
            counted = f"SELECT s.procedure, sum(s.new) {_NEW} GROUP BY s.procedure"
            new = {procedure: int(rows) for procedure, rows in self._connection.exec_driver_sql(counted, lines)}
            set_aside(self._connection, new)
            taken += sum(new.values())
            self._connection.exec_driver_sql(_TAKE, lines)
            self._connection.commit()
        return taken

    def clear(self) -> None:
        """Drop the temporary tables; a pooled connection would keep them."""
        self._connection.rollback()
        for table in ("staged", "merged"):
            self._run(f"DROP TABLE IF EXISTS temp.{table}")
        self._connection.commit()

    def _staged(
        self, line: int, new: int, distinct: int, replaces: int | None, job: Sequence[str]
    ) -> tuple[object, ...]:
        """The row of the temporary table for a job, a PackedJob's values."""
        _, opened_at, procedure, *_ = job
        planned = self._planned(procedure)
        left_out = judged(kept_job(job, False, None), planned) if planned else None
        return line, new, distinct, replaces, *job, left_out, opened_of(opened_at), seal_of(job)

    def _with_ids(self, phases: str) -> str:
        if len(self._phases) == _PHASES_KNOWN:
            self._phases.clear()
        return self._phases.setdefault(phases, with_people(phases, self._id_of))

    def _id_of(self, name: str) -> str:
        """The id that the staged jobs have for a name; one of a forgotten person's, where it is theirs."""
        if name not in self._ids:
            ids = self._people.ids_of(name)
            self._ids[name] = ids[0] if ids else new_person_id()
            self._same |= dict.fromkeys(ids[1:], self._ids[name])
            if not ids:
                self._new[self._ids[name]] = name
        return self._ids[name]

    def _in_doubt(self) -> Iterator[tuple[KnownJob | None, list[FileJob]]]:
        """The jobs that must be looked into: as the log has each, and its parts in the order of their lines."""
        rows = self._connection.exec_driver_sql(
            f"SELECT s.line, t.place, t.imported, {_OF_FILE}, {_OF_LOG} FROM staged s "
            f"LEFT JOIN job_times t ON t.job = s.job WHERE s.job IN ({_IN_DOUBT}) ORDER BY s.job, s.line"
        ).partitions(_MERGED_AT_ONCE)
        for _, of_job in groupby(chain.from_iterable(rows), key=itemgetter(3)):
            parts = []
            known = None
            for line, place, imported, *values in of_job:
                parts.append(FileJob(line, PackedJob(*values[: len(_JOB)])))
                known = KnownJob(place, bool(imported), PackedJob(*values[len(_JOB) :])) if place else None
            yield known, parts

    def _know_people_by_rows(self) -> None:
        """Know people again whom an older version forgot without a hash of the name: by rows alike in all but the name.

        Each such person has one name at most, the one with which most rows agree. So a file imported again neither
        counts twice nor brings a forgotten name back.
        """
        blank = set(
            self._connection.scalars(select(PEOPLE.c.id).where(PEOPLE.c.name.is_(None), PEOPLE.c.forgotten.is_(None)))
        )
        if not blank:
            return
        names = {id: name for name, id in self._ids.items()}
        agreeing: Counter[tuple[str, str]] = Counter()
        for known, parts in self._in_doubt():
            agreeing.update((names[mine], id) for mine, id in people_who_agree(known, parts) if id in blank)
        used: set[str] = set()
        for name, id in sorted(agreeing, key=lambda pair: (-agreeing[pair], *pair)):
            if not used & {name, id}:
                used |= {name, id}
                self._is_known_as(name, id)

    def _is_known_as(self, name: str, id: str) -> None:
        """A name of the file is that of a forgotten person."""
        mine = self._ids[name]
        if self._new.pop(mine, None) is None:
            self._same[id] = mine
            return
        told = f"SELECT s.line, s.new, s.distinct_rows, {_OF_FILE} FROM staged s WHERE instr(s.phases, ?)"
        anew = []
        for line, new, distinct, *head, phases, seconds in self._connection.exec_driver_sql(told, (canonical(mine),)):
            named = phases.replace(canonical(mine), canonical(id))
            anew.append(self._staged(line, new, distinct, None, (*head, named, seconds)))
        self._insert("staged", anew)
        self._ids[name] = id

    def _name_new_people(self) -> None:
        """Name those in the log who are new there; a name in refused rows alone is not kept."""
        told = self._connection.exec_driver_sql("SELECT DISTINCT phases FROM staged").scalars()
        for id in sorted({id for phases in told for id in people_of(phases)} & self._new.keys()):
            name = self._new[id]
            self._connection.execute(insert(PEOPLE).values(id=id, name=name, seal=seal_of_person(id, name)))
        self._connection.commit()

    def _insert(self, table: str, rows: Sequence[tuple[object, ...]]) -> None:
        if rows:
            places = ", ".join("?" * len(rows[0]))
            self._connection.exec_driver_sql(f"INSERT OR REPLACE INTO {table} VALUES ({places})", list(rows))

    def _one(self, statement: str, values: tuple[int, ...] = ()) -> int:
        return int(self._connection.exec_driver_sql(statement, values).scalar_one())

    def _run(self, statement: str) -> None:
        self._connection.exec_driver_sql(statement)
