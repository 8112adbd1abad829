"""Rows of a file on their way into the log: set aside in a temporary table, judged as a whole, then taken.

The database does the comparing, so that a million rows need little memory and no lock while they are read.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from operator import itemgetter

import numpy as np
from numpy.typing import NDArray
from sqlalchemy import Connection

from sparehand.ground.bounds import ROWS_OF_JOB
from sparehand.log.people import People
from sparehand.log.tally_tables import set_aside
from sparehand.log.time_rows import COLUMNS, JOB_COLUMNS, KEY_COLUMNS

_TAKEN_AT_ONCE = 20_000
"""Rows a transaction: short enough that a job recorded meanwhile does not wait."""

_VALUES = tuple(column for column in COLUMNS if column not in KEY_COLUMNS)
_SAME_KEY_HERE = " AND ".join(f"f.{column} = s.{column}" for column in KEY_COLUMNS)
_SAME_KEY_KEPT = "t.job = s.job AND t.phase = s.phase AND t.side = s.side"
_SAME_VALUES_KEPT = " AND ".join(f"t.{column} = s.{column}" for column in _VALUES)
_FIRST_OF_JOB_HERE = "(SELECT min(line) FROM staged WHERE job = s.job)"
_FIRST_OF_JOB_KEPT = "(SELECT min(place) FROM phase_times WHERE job = s.job)"
_OF_PERSON = "JOIN staged_people m ON m.name = s.technician AND m.id = t.technician"


_PLACES = {column: 1 + place for place, column in enumerate(COLUMNS)}
_key_of = itemgetter(*(_PLACES[column] for column in KEY_COLUMNS))
_said_of_job = itemgetter(*(_PLACES[column] for column in ("job", *JOB_COLUMNS)))


def _hashes(row: tuple[object, ...]) -> tuple[int, int, int]:
    """Of the key of a row, of its job, and of all that it says of the job."""
    return hash(_key_of(row)), hash(row[1]), hash(_said_of_job(row))


@dataclass(frozen=True)
class Conflict:
    """A row that says something else than another one of the same key, or of the same job."""

    line: int
    column: str
    here: str
    there: str
    where: str


class StagedTimes:
    """The rows of one file, in the connection's temporary table `staged`. Call `judge`, then perhaps `take`."""

    def __init__(self, connection: Connection) -> None:
        self._connection = connection
        self._hashes: list[NDArray[np.int64]] = []
        self.known = 0
        columns = ", ".join(f"{column} NOT NULL" for column in (*COLUMNS, "seal"))
        self._run(f"CREATE TEMP TABLE staged (line INTEGER PRIMARY KEY, {columns})")

    def add(self, rows: Sequence[tuple[object, ...]]) -> None:
        """Set rows aside: the line, the values in the order of COLUMNS, the seal."""
        places = ", ".join("?" * (2 + len(COLUMNS)))
        if rows:
            self._connection.exec_driver_sql(f"INSERT INTO staged VALUES ({places})", list(rows))
            self._hashes.append(np.array([_hashes(row) for row in rows], dtype=np.int64))

    def judge(self) -> tuple[Conflict, ...]:
        """Drop the rows that are known already (counted in `known`) and those that conflict; gives the conflicts."""
        self._know_people()
        conflicts: list[Conflict] = []
        if self._beyond_doubt():
            return ()
        self._run("CREATE INDEX temp.ix_staged ON staged (job, phase, side, technician)")
        earlier = f"(SELECT min(f.line) FROM staged f WHERE {_SAME_KEY_HERE})"
        for joined, other, where in (
            (f"FROM staged s JOIN staged f ON f.line = {earlier} AND f.line < s.line", "f", "'line ' || f.line"),
            (f"FROM staged s JOIN phase_times t ON {_SAME_KEY_KEPT} {_OF_PERSON}", "t", "'the log'"),
        ):
            differing = self._conflicts(_VALUES, joined, other, where)
            self._drop_same_key(joined, differing)
            conflicts += differing
        for joined, other, where in (
            (f"FROM staged s JOIN phase_times t ON t.place = {_FIRST_OF_JOB_KEPT}", "t", "'the log'"),
            (f"FROM staged s JOIN staged f ON f.line = {_FIRST_OF_JOB_HERE}", "f", "'line ' || f.line"),
        ):
            differing = self._conflicts(JOB_COLUMNS, joined, other, where)
            self._drop_lines(differing)
            conflicts += differing
        too_many = self._beyond_bound()
        self._drop_lines(too_many)
        conflicts += too_many
        self._connection.commit()
        return tuple(sorted(conflicts, key=lambda conflict: conflict.line))

    def take(self) -> int:
        """Put what is left into the log; gives the number of rows that are new there."""
        self._connection.execution_options(immediate=True)
        self._name_new_people()
        last = self._connection.exec_driver_sql("SELECT ifnull(max(line), 0) FROM staged").scalar_one()
        told = ", ".join(COLUMNS)
        values = ", ".join("m.id" if column == "technician" else f"s.{column}" for column in COLUMNS)
        taken = 0
        for start in range(0, last + 1, _TAKEN_AT_ONCE):
            some = (start, start + _TAKEN_AT_ONCE)
            procedures = "SELECT DISTINCT procedure FROM staged WHERE line >= ? AND line < ?"
            set_aside(self._connection, self._connection.exec_driver_sql(procedures, some).scalars())
            taken += self._connection.exec_driver_sql(
                f"INSERT OR IGNORE INTO phase_times ({told}, rework, imported, seal) SELECT {values}, 0, 1, s.seal "
                "FROM staged s JOIN (SELECT name, id, max(named) FROM staged_people GROUP BY name) m "
                "ON m.name = s.technician "
                "WHERE s.line >= ? AND s.line < ? ORDER BY s.line",
                some,
            ).rowcount
            self._connection.commit()
        return taken

    def clear(self) -> None:
        """Drop the temporary tables; a pooled connection would keep them."""
        self._connection.rollback()
        self._run("DROP TABLE IF EXISTS temp.staged")
        self._run("DROP TABLE IF EXISTS temp.staged_people")
        self._connection.commit()

    def _beyond_doubt(self) -> bool:
        """Whether no row can be known or conflict: each key is new in the file, each job's rows agree and are few.

        Hashes of 64 bits tell; where two happen to be alike, the rows themselves are compared.
        """
        if self._connection.exec_driver_sql("SELECT EXISTS (SELECT 1 FROM phase_times)").scalar():
            known = "SELECT EXISTS (SELECT 1 FROM phase_times t JOIN staged s ON t.job = s.job)"
            if self._connection.exec_driver_sql(known).scalar():
                return False
        hashes = np.concatenate(self._hashes) if self._hashes else np.zeros((0, 3), dtype=np.int64)
        jobs, counts = np.unique(hashes[:, 1], return_counts=True)
        as_said = len(np.unique(hashes[:, 2]))
        return (
            len(np.unique(hashes[:, 0])) == len(hashes)
            and as_said == len(jobs)
            and max(counts, default=0) <= ROWS_OF_JOB
        )

    def _know_people(self) -> None:
        """Who the names of the file are in the log: those of that name, and those whose name was forgotten since.

        A name is a forgotten person's by its hash. Where an older version forgot it without one, it is by rows that
        agree in all but the name; each such person has one name at most, the one with which most rows agree. So a file
        imported again neither counts twice nor brings a forgotten name back.
        """
        self._run("CREATE TEMP TABLE staged_people (name TEXT NOT NULL, id TEXT PRIMARY KEY, named INTEGER NOT NULL)")
        self._run(
            "INSERT INTO staged_people SELECT s.technician, p.id, 1 FROM (SELECT DISTINCT technician FROM staged) s "
            "JOIN people p ON p.name = s.technician"
        )
        agreeing = self._connection.exec_driver_sql(
            f"SELECT s.technician, t.technician FROM staged s JOIN phase_times t ON {_SAME_KEY_KEPT} "
            f"AND {_SAME_VALUES_KEPT} JOIN people p ON p.id = t.technician "
            "WHERE p.name IS NULL AND p.forgotten IS NULL "
            "GROUP BY s.technician, t.technician ORDER BY count(*) DESC, s.technician, t.technician"
        )
        people = People(self._connection)
        told = self._connection.exec_driver_sql("SELECT DISTINCT technician FROM staged").scalars().all()
        names = {people.imported_id_of(name): name for name in told if people.is_forgotten(name)}
        for name, id in agreeing.all():
            if id not in names and name not in names.values():
                names[id] = name
        if names:
            known = [(name, id) for id, name in names.items()]
            self._connection.exec_driver_sql("INSERT INTO staged_people VALUES (?, ?, 0)", known)

    def _name_new_people(self) -> None:
        people = self._connection.exec_driver_sql(
            "SELECT DISTINCT technician FROM staged WHERE technician NOT IN (SELECT name FROM staged_people)"
        )
        ids = People(self._connection)
        if new := [(name, ids.imported_id_of(name)) for name in people.scalars().all()]:
            self._connection.exec_driver_sql("INSERT INTO staged_people VALUES (?, ?, 1)", new)
        self._connection.commit()

    def _conflicts(self, columns: Sequence[str], joined: str, other: str, where: str) -> list[Conflict]:
        differs = " OR ".join(f"s.{column} <> {other}.{column}" for column in columns)
        pairs = ", ".join(f"s.{column}, {other}.{column}" for column in columns)
        rows = self._connection.exec_driver_sql(f"SELECT s.line, {where}, {pairs} {joined} WHERE {differs}")
        return [
            next(
                Conflict(row[0], column, str(row[2 + 2 * place]), str(row[3 + 2 * place]), row[1])
                for place, column in enumerate(columns)
                if row[2 + 2 * place] != row[3 + 2 * place]
            )
            for row in rows
        ]

    def _beyond_bound(self) -> list[Conflict]:
        """The rows of jobs that would have more rows than a job may have."""
        rows = self._connection.exec_driver_sql(
            "SELECT line, job FROM staged WHERE job IN (SELECT s.job FROM staged s GROUP BY s.job HAVING count(*) + "
            "(SELECT count(*) FROM phase_times t WHERE t.job = s.job) > ?)",
            (ROWS_OF_JOB,),
        )
        return [Conflict(line, "job", job, f"{ROWS_OF_JOB} rows at most", "one job") for line, job in rows]

    def _drop_same_key(self, joined: str, conflicts: Sequence[Conflict]) -> None:
        same = self._connection.exec_driver_sql(f"DELETE FROM staged WHERE line IN (SELECT s.line {joined})").rowcount
        self.known += same - len(conflicts)

    def _drop_lines(self, conflicts: Sequence[Conflict]) -> None:
        if conflicts:
            lines = [(conflict.line,) for conflict in conflicts]
            self._connection.exec_driver_sql("DELETE FROM staged WHERE line = ?", lines)

    def _run(self, statement: str) -> None:
        self._connection.exec_driver_sql(statement)
