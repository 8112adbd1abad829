"""The open jobs of each bench as it last told them: a row a job in the shared database, put in place of those before.

No row names a customer or a vehicle, and people stand in it by their ids.
"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Any

from pydantic import ValidationError

from sparehand.ground.bounds import NAME_CHARACTERS, SECONDS, first_problem, name_in_bounds
from sparehand.sharing.admission import SetAside
from sparehand.sharing.database import SharedDatabase, has_table
from sparehand.sharing.database_rules import MY_BENCH
from sparehand.sharing.open_job import MOST_OF_JOB, OpenJob
from sparehand.sharing.parcel import SentPerson
from sparehand.sharing.text_encoding import read_name

FORGOTTEN_AFTER = "interval '30 days'"
"""A bench that has not shared for so long is not heard of any more: any bench of the shop takes its rows away."""

_TEXTS = f"<= {NAME_CHARACTERS}"
_LIST = (
    f"cardinality({{0}}) <= {MOST_OF_JOB} AND coalesce(array_ndims({{0}}), 1) = 1 AND "
    f"char_length(array_to_string({{0}}, '', '')) <= {MOST_OF_JOB * NAME_CHARACTERS} "
    "AND array_position({0}, NULL) IS NULL"
)
OPEN_JOBS_TABLE = f"""
CREATE TABLE open_jobs (
    shop text NOT NULL, installation text NOT NULL, name text NOT NULL, place bigint GENERATED ALWAYS AS IDENTITY,
    bench text NOT NULL, procedure text NOT NULL, standing text NOT NULL, technicians text[] NOT NULL,
    stopped_for text[] NOT NULL, phase text NOT NULL, phase_minutes double precision NOT NULL,
    over_range boolean NOT NULL, waits_for text[] NOT NULL, hours_half double precision, hours_most double precision,
    arrived timestamptz NOT NULL DEFAULT now(), PRIMARY KEY (shop, installation, name),
    CONSTRAINT in_bounds CHECK (
        char_length(name) {_TEXTS} AND char_length(procedure) {_TEXTS} AND char_length(phase) {_TEXTS}
        AND standing IN ('working', 'on hold', 'parked', 'bench off')
        AND {_LIST.format("technicians")} AND {_LIST.format("stopped_for")} AND {_LIST.format("waits_for")}
        AND cardinality(technicians) = cardinality(stopped_for)
        AND phase_minutes BETWEEN 0 AND {SECONDS / 60:.0f} AND hours_half BETWEEN 0 AND {SECONDS / 3600:.0f}
        AND hours_most BETWEEN 0 AND {SECONDS / 3600:.0f} AND (hours_half IS NULL) = (hours_most IS NULL)));
ALTER TABLE open_jobs ENABLE ROW LEVEL SECURITY;
CREATE POLICY reads ON open_jobs FOR SELECT USING (shop = (SELECT my_shop()));
CREATE POLICY adds ON open_jobs FOR INSERT TO sparehand_bench WITH CHECK ({MY_BENCH} AND EXISTS (
    SELECT 1 FROM jobs j WHERE j.shop = open_jobs.shop AND j.name = open_jobs.name
        AND j.installation = open_jobs.installation));
CREATE POLICY takes_away ON open_jobs FOR DELETE TO sparehand_bench USING (shop = (SELECT my_shop())
    AND (installation IN (SELECT my_installations()) OR arrived < now() - {FORGOTTEN_AFTER}));
GRANT SELECT, DELETE ON open_jobs TO sparehand_bench;
GRANT INSERT (shop, installation, name, bench, procedure, standing, technicians, stopped_for, phase, phase_minutes,
    over_range, waits_for, hours_half, hours_most) ON open_jobs TO sparehand_bench;
"""

_TELL = """
INSERT INTO sparehand.open_jobs (shop, installation, name, bench, procedure, standing, technicians, stopped_for, phase,
    phase_minutes, over_range, waits_for, hours_half, hours_most)
SELECT sparehand.my_shop(), %(installation)s, %(name)s, %(bench)s, %(procedure)s, %(standing)s, %(technicians)s,
    %(stopped_for)s, %(phase)s, %(phase_minutes)s, %(over_range)s, %(waits_for)s, %(half)s, %(most)s
WHERE EXISTS (SELECT 1 FROM sparehand.jobs j WHERE j.name = %(name)s AND j.installation = %(installation)s)
"""
_HEARD = f"""
SELECT place, name, bench, procedure, standing, technicians, stopped_for, phase, phase_minutes, over_range, waits_for,
    hours_half, hours_most, clock_timestamp() - arrived AS age
FROM sparehand.open_jobs WHERE shop = sparehand.my_shop() AND installation <> %s
    AND arrived >= now() - {FORGOTTEN_AFTER}
ORDER BY bench, name
"""


def tell_open_jobs(database: SharedDatabase, installation: str, jobs: Sequence[OpenJob]) -> bool:
    """Put these jobs in place of all that this installation told before; False where the database has no place for it.

    A job that the database has from another login is not told. Raises FailureError as any transaction does.
    """
    with database.transaction() as connection:
        if not has_table(connection, "open_jobs"):
            return False
        connection.exec_driver_sql(
            f"DELETE FROM sparehand.open_jobs WHERE installation = %s OR arrived < now() - {FORGOTTEN_AFTER}",
            (installation,),
        )
        for job in jobs:
            connection.exec_driver_sql(_TELL, _values(job, installation))
    return True


def hear_open_jobs(
    database: SharedDatabase, own: str, now: datetime
) -> tuple[tuple[OpenJob, ...], tuple[SentPerson, ...], tuple[SetAside, ...]]:
    """The open jobs of the shop's other installations, who works on them, and the rows that are out of bounds.

    How long ago each was told is measured by the database's clock, and taken from this bench's `now`.
    """
    with database.transaction() as connection:
        rows = connection.exec_driver_sql(_HEARD, (own,)).all() if has_table(connection, "open_jobs") else []
        jobs, aside = list[OpenJob](), list[SetAside]()
        for row in rows:
            try:
                jobs.append(_job(row, now))
            except ValidationError as error:
                aside.append(SetAside(f"open/{row.place}", name_in_bounds(row.bench), first_problem(error)))
        ids = sorted({id for job in jobs for id, _ in job.people})
        named = "SELECT person, name FROM sparehand.people WHERE shop = sparehand.my_shop() AND person = ANY(%s)"
        people = connection.exec_driver_sql(named, (ids,)).all()
    known = tuple(SentPerson(one.person, one.name and name_in_bounds(read_name(one.name))) for one in people)
    return tuple(jobs), known, tuple(aside)


def _values(job: OpenJob, installation: str) -> dict[str, object]:
    half, most = job.hours_left or (None, None)
    told = job.model_dump(include={"name", "bench", "procedure", "standing", "phase", "phase_minutes", "over_range"})
    ids, stops = [id for id, _ in job.people], [stop for _, stop in job.people]
    lists = {"technicians": ids, "stopped_for": stops, "waits_for": list(job.waits_for)}
    return told | lists | {"installation": installation, "half": half, "most": most}


def _job(row: Any, now: datetime) -> OpenJob:
    left = None if row.hours_half is None else (row.hours_half, row.hours_most)
    return OpenJob.model_validate(
        {
            **{field: getattr(row, field) for field in ("name", "bench", "procedure", "standing", "phase")},
            "people": tuple(zip(row.technicians, row.stopped_for, strict=True)),
            "phase_minutes": row.phase_minutes,
            "over_range": row.over_range,
            "waits_for": row.waits_for,
            "hours_left": left,
            "heard": now - row.age,
        }
    )
