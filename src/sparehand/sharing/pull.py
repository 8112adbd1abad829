"""A bench fetches what the others of its shop have sent since it last looked.

Each bench's pushes are numbered without gaps, one after the other, so that "after number n" misses nothing, whatever
was written at the same time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from uuid import UUID

from sqlalchemy import select

from sparehand.log.connection import reading, said_plainly
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.tables import EVENTS, PHASE_TIMES
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.parcel import SentPerson, SentSummary
from sparehand.sharing.shop_copy import Fetched, ShopCopy
from sparehand.sharing.summaries import COLUMNS, summaries_in

PUSHES_AT_ONCE = 10

_SUMMARIES = f"""
SELECT {COLUMNS}, n.name AS person_name
FROM sparehand.summaries s
LEFT JOIN sparehand.phase_times p USING (shop, month, job, revision)
LEFT JOIN sparehand.people n ON n.shop = p.shop AND n.person = p.technician
WHERE s.shop = (SELECT sparehand.my_shop()) AND s.installation = %s AND s.push > %s AND s.push <= %s
ORDER BY s.push, s.revision, s.job, p.phase, p.side, p.technician
"""


def pull(database: SharedDatabase, store: SqliteEventStore, copy: ShopCopy, own: str) -> int:
    """Fetch the others' phase times into `copy`; `own` is this installation, whose log is `store`.

    Gives the number of phase times that are new or came anew. What was fetched before a break stays.
    Raises FailureError where the database cannot be reached or breaks off.
    """
    taken = 0
    pulled = copy.pulled()
    for installation, last in _last_pushes(database).items():
        if installation == own:
            continue
        for start in range(pulled.get(installation, 0), last, PUSHES_AT_ONCE):
            end = min(start + PUSHES_AT_ONCE, last)
            fetched = _fetch(database, installation, start, end)
            mine = _here(store, fetched.summaries)
            others = tuple(summary for summary in fetched.summaries if summary.job not in mine)
            taken += copy.take(replace(fetched, summaries=others))
    copy.blank(_forgotten(database))
    copy.recount()
    return taken


def _last_pushes(database: SharedDatabase) -> dict[str, int]:
    with database.transaction() as connection:
        rows = connection.exec_driver_sql(
            "SELECT installation, max(number) AS last FROM sparehand.pushes GROUP BY installation ORDER BY installation"
        ).all()
    return {row.installation: row.last for row in rows}


def _fetch(database: SharedDatabase, installation: str, after: int, upto: int) -> Fetched:
    with database.transaction() as connection:
        rows = connection.exec_driver_sql(_SUMMARIES, (installation, after, upto)).all()
    people = {row.technician: row.person_name for row in rows if row.technician}
    return Fetched(
        installation,
        upto,
        tuple(summaries_in(rows)),
        tuple(SentPerson(person, name) for person, name in sorted(people.items())),
    )


def _here(store: SqliteEventStore, summaries: Sequence[SentSummary]) -> set[UUID]:
    """The jobs among them that this bench's own log has, logged or imported: each counts once."""
    openings = {str(one.job): one.job for one in summaries if not one.imported}
    imports = {one.name: one.job for one in summaries if one.imported}
    with said_plainly(store.path), reading(store.engine) as connection:
        logged = connection.scalars(select(EVENTS.c.id).where(EVENTS.c.id.in_(openings)))
        known = {openings[id] for id in logged}
        rows = connection.scalars(select(PHASE_TIMES.c.job).where(PHASE_TIMES.c.job.in_(imports)).distinct())
        return known | {imports[name] for name in rows}


def _forgotten(database: SharedDatabase) -> tuple[str, ...]:
    with database.transaction() as connection:
        return tuple(connection.exec_driver_sql("SELECT person FROM sparehand.people WHERE name IS NULL").scalars())
