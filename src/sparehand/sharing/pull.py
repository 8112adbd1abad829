"""A bench fetches what the others of its shop have sent since it last looked.

Each bench's pushes are numbered without gaps, one after the other, so that "after number n" misses nothing, whatever
was written at the same time.
"""

from __future__ import annotations

from dataclasses import replace
from uuid import UUID

from sqlalchemy import select

from sparehand.ground.bounds import name_in_bounds
from sparehand.log.connection import among, plain_errors, reading
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.tables import EVENTS, JOB_TIMES
from sparehand.log.wire import people_in
from sparehand.sharing.admission import Fetched, FetchedEvent, admit_fetched
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.parcel import SentPerson
from sparehand.sharing.set_aside_rows import rows_there
from sparehand.sharing.shop_copy import ShopCopy
from sparehand.sharing.summaries import SUMMARIES, summary_in
from sparehand.sharing.text_encoding import read_name

PUSHES_AT_ONCE = 5

_WANTED = f"""{SUMMARIES} s.installation = %s AND s.push > %s AND s.push <= %s
ORDER BY s.push, s.revision, s.job
"""

_NOTED = """
SELECT e.job, e.sequence, e.body FROM sparehand.events e JOIN (
    SELECT DISTINCT month, job FROM sparehand.events
    WHERE shop = (SELECT sparehand.my_shop()) AND installation = %s AND push > %s AND push <= %s
        AND (kind LIKE '%%lesson%%' OR kind IN ('words written', 'undone'))) touched USING (month, job)
WHERE e.shop = (SELECT sparehand.my_shop())
    AND (e.kind LIKE '%%lesson%%' OR e.kind IN ('job opened', 'words written', 'undone'))
    AND EXISTS (SELECT 1 FROM sparehand.events l WHERE l.shop = e.shop AND l.month = e.month AND l.job = e.job
        AND l.kind LIKE '%%lesson%%')
ORDER BY e.job, e.sequence
"""


def pull(database: SharedDatabase, store: SqliteEventStore, copy: ShopCopy, own: str) -> int:
    """Fetch the others' phase times and lessons into `copy`; `own` is this installation, whose log is `store`.

    Gives the number of phase times that are new or came anew. What was fetched before a break stays; what is out of
    bounds is set aside there.
    Raises FailureError where the database cannot be reached or breaks off.
    """
    taken = 0
    pulled = copy.pulled()
    for installation, last in _last_pushes(database).items():
        if installation == own:
            continue
        start = pulled.get(installation, 0)
        while start < last:
            fetched = _fetch(database, installation, start)
            start = fetched.upto_push
            mine = _here(store, fetched)
            others = tuple(summary for summary in fetched.summaries if summary.job not in mine)
            noted = tuple(event for event in fetched.noted if event.job not in mine)
            taken += copy.take(replace(fetched, summaries=others, noted=noted))
    listed = copy.set_aside()
    with database.transaction() as connection:
        shop = connection.exec_driver_sql("SELECT sparehand.my_shop()").scalar_one()
        there = rows_there(connection, str(shop), [one.row for one in listed])
    copy.no_more_aside(one.row for one in listed if one.row not in there)
    copy.blank(_forgotten(database))
    copy.recount()
    return taken


def _last_pushes(database: SharedDatabase) -> dict[str, int]:
    with database.transaction() as connection:
        rows = connection.exec_driver_sql(
            "SELECT installation, max(number) AS last FROM sparehand.pushes GROUP BY installation ORDER BY installation"
        ).all()
    return {row.installation: row.last for row in rows}


def _fetch(database: SharedDatabase, installation: str, after: int) -> Fetched:
    with database.transaction() as connection:
        # By the numbers that are there: one who sent a high number shall not be counted up to.
        pushes = connection.exec_driver_sql(
            "SELECT number, bench FROM sparehand.pushes WHERE installation = %s AND number > %s "
            "ORDER BY number LIMIT %s",
            (installation, after, PUSHES_AT_ONCE),
        ).all()
        upto, sender = pushes[-1].number, name_in_bounds(pushes[-1].bench)
        rows = connection.exec_driver_sql(_WANTED, (installation, after, upto))
        summaries = tuple(map(summary_in, rows))
        noted = connection.exec_driver_sql(_NOTED, (installation, after, upto)).all()
        events = tuple(FetchedEvent(row.job, row.sequence, row.body) for row in noted)
        fetched = admit_fetched(Fetched(installation, upto, summaries, events, sender))
        ids = {id for one in fetched.summaries for id in one.times.people}
        ids |= {id for one in fetched.noted for id in people_in(one.body)}
        named = "SELECT person, name FROM sparehand.people WHERE person = ANY(%s) ORDER BY person"
        people = connection.exec_driver_sql(named, (sorted(ids),)).all()
    return replace(
        fetched,
        people=tuple(SentPerson(row.person, row.name and name_in_bounds(read_name(row.name))) for row in people),
    )


def _here(store: SqliteEventStore, fetched: Fetched) -> set[UUID]:
    """The jobs among them that this bench's own log has, logged or imported: each counts once."""
    jobs = {one.job for one in fetched.summaries} | {one.job for one in fetched.noted}
    openings = {str(job): job for job in jobs}
    imports = {one.times.job: one.job for one in fetched.summaries if one.imported}
    with plain_errors(store.path), reading(store.engine) as connection:
        logged = connection.scalars(select(EVENTS.c.id).where(EVENTS.c.id.in_(among(openings))))
        known = connection.scalars(select(JOB_TIMES.c.job).where(JOB_TIMES.c.job.in_(among(imports))))
        return {openings[id] for id in logged} | {imports[name] for name in known}


def _forgotten(database: SharedDatabase) -> tuple[str, ...]:
    with database.transaction() as connection:
        return tuple(connection.exec_driver_sql("SELECT person FROM sparehand.people WHERE name IS NULL").scalars())
