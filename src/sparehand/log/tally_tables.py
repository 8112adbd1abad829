"""What each procedure's jobs add up to, kept in the transaction that keeps their times.

A tally that is missing, set aside or damaged is no loss: it is counted anew from the phase times, by whoever next adds
a job of that procedure or reads it.
"""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from sqlalchemy import Connection, Row, func, insert, select, update

from sparehand.log.store import DamagedLogError
from sparehand.log.tables import PEOPLE, TALLIES
from sparehand.times.counting import tally_of
from sparehand.times.job_times import JobTimes, KeptJob
from sparehand.times.tally import Tally
from sparehand.times.what_counts import plan_text

JobsOf = Callable[[str], Iterable[JobTimes | KeptJob]]
"""Gives every kept job of a procedure in the order of their opening, its technicians by their ids."""

_T = TALLIES.c


@dataclass(frozen=True)
class Tallies:
    """The tallies of a log, of all procedures or some, at one `revision`; `names` of people by id."""

    tallies: tuple[Tally, ...]
    names: Mapping[str, str]
    revision: int


@dataclass(frozen=True)
class TimesStatus:
    """The revision and checksums of all tallies, the procedures that have times, whether any is not counted, people."""

    revision: int
    seals: int
    procedures: tuple[str, ...]
    uncounted: bool
    judged_by: Mapping[str, str | None]
    """The plan by which the imported jobs of each procedure were judged (`plan_text`); None where by none."""
    names: Mapping[str, str]
    """Of people, by id."""

    def judged_otherwise(self, plans: Mapping[str, Mapping[str, float]]) -> tuple[str, ...]:
        """The procedures whose imported jobs were not judged by these plans, planned seconds by procedure and phase."""
        return tuple(name for name, planned in plans.items() if self.judged_by.get(name) != plan_text(planned))


def count_job(connection: Connection, times: JobTimes, jobs_of: JobsOf, *, again: bool = False) -> None:
    """Count a job (technicians by id) whose phase times were just put in, which `jobs_of` therefore gives too.

    `again` says that other times of the job, or of a job whose times went, may have been counted before.
    """
    tally = None if again else _read(_locked(connection, times.procedure))
    if tally is None or not tally.add(times):
        try:
            tally = tally_of(times.procedure, partial(jobs_of, times.procedure))
        except DamagedLogError:  # told to whoever reads the times; a job that ends is kept all the same
            tally = None
    _write(connection, times.procedure, tally)


def set_aside(connection: Connection, procedures: Iterable[str]) -> None:
    """Say that times of the procedures are put in or taken out without being counted; `recount` makes it good."""
    some = sorted(procedures)
    if some:
        connection.execute(_MAKE, [_empty(procedure) for procedure in some])
        anew = {"revision": _T.revision + 1, "body": None, "seal": 0}
        connection.execute(update(TALLIES).where(_T.procedure.in_(some)).values(anew))


def newly_judged(connection: Connection, procedure: str, plan: str | None) -> bool:
    """Remember by which plan the imported jobs of a procedure are judged; False where it was this one before."""
    if _locked(connection, procedure).judged_by == plan:
        return False
    connection.execute(update(TALLIES).where(_T.procedure == procedure).values(judged_by=plan))
    return True


def recount(connection: Connection, jobs_of: JobsOf) -> bool:
    """Count one procedure anew that was set aside; False where there is none. A transaction each keeps them short."""
    waiting = select(_T.procedure).where(_T.body.is_(None)).order_by(_T.procedure).limit(1)
    procedure = connection.scalar(waiting)
    if procedure is None:
        return False
    _locked(connection, procedure)
    _write(connection, procedure, tally_of(procedure, partial(jobs_of, procedure)))
    return True


def put(connection: Connection, counted: Tally) -> None:
    """Keep a tally that was counted elsewhere of the very times that are kept here."""
    _locked(connection, counted.procedure)
    _write(connection, counted.procedure, counted)


def tallies(connection: Connection, jobs_of: JobsOf) -> Iterator[Tally]:
    """The tally of each procedure, in the order of their names; one set aside or damaged is counted on the spot."""
    for row in connection.execute(select(TALLIES).order_by(_T.procedure)):
        yield _read(row) or tally_of(row.procedure, partial(jobs_of, row.procedure))


def tally(connection: Connection, procedure: str, jobs_of: JobsOf) -> Tally:
    """The tally of one procedure; an empty one of a procedure without jobs."""
    row = connection.execute(select(TALLIES).where(_T.procedure == procedure)).first()
    return (_read(row) if row else None) or tally_of(procedure, partial(jobs_of, procedure))


def named_tallies(
    connection: Connection, jobs_of: JobsOf, name_of: Callable[[str], str], procedure: str | None = None
) -> Tallies:
    """All tallies, or that of one procedure, with what is needed to read them outside of the transaction."""
    some = tuple(tallies(connection, jobs_of)) if procedure is None else (tally(connection, procedure, jobs_of),)
    people = {person for each in some for person in each.people}
    return Tallies(some, {person: name_of(person) for person in people}, revision(connection))


def status(connection: Connection, name_of: Callable[[str], str]) -> TimesStatus:
    """The revision of the tallies and what they cover, without reading a phase time."""
    rows = connection.execute(select(_T.procedure, _T.body.is_(None), _T.judged_by).order_by(_T.procedure)).all()
    ids = connection.scalars(select(PEOPLE.c.id)).all()
    return TimesStatus(
        revision=revision(connection),
        seals=int(connection.scalar(select(func.coalesce(func.sum(_T.seal), 0))) or 0),
        procedures=tuple(procedure for procedure, _, _ in rows),
        uncounted=any(waits for _, waits, _ in rows),
        judged_by={procedure: plan for procedure, _, plan in rows},
        names={id: name_of(id) for id in ids},
    )


def revision(connection: Connection) -> int:
    """A number that rises with each change of any tally: what was concluded from them holds while it stays."""
    return int(connection.scalar(select(func.coalesce(func.sum(_T.revision), 0))) or 0)


_MAKE = insert(TALLIES).prefix_with("OR IGNORE")


def _empty(procedure: str) -> dict[str, object]:
    return {"procedure": procedure, "revision": 0, "seal": 0}


def _locked(connection: Connection, procedure: str) -> Row[Any]:
    """The row of a procedure, made if missing; no other transaction writes it until this one ends."""
    connection.execute(_MAKE, _empty(procedure))
    return connection.execute(select(TALLIES).where(_T.procedure == procedure)).one()


def _read(row: Row[Any]) -> Tally | None:
    """The tally of a row; None where there is none that can be relied on."""
    if not isinstance(row.body, str) or _seal(row.procedure, row.body) != row.seal:
        return None
    try:
        return Tally.from_json(row.body)
    except ValueError:  # written by another version
        return None


def _write(connection: Connection, procedure: str, new: Tally | None) -> None:
    body = None if new is None else new.to_json().decode()
    seal = 0 if body is None else _seal(procedure, body)
    changed = {"revision": _T.revision + 1, "body": body, "seal": seal}
    connection.execute(update(TALLIES).where(_T.procedure == procedure).values(changed))


def _seal(procedure: str, body: str) -> int:
    return zlib.crc32(f"{procedure}\x1f{body}".encode())
