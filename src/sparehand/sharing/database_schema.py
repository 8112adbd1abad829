"""The shared database: its tables, who may do what in it, and bringing it up to this version.

Every table begins with the shop, so that rows of one shop lie together and a distributed PostgreSQL can place them by
it; row-level security keeps each login to the rows of its own shop. What grows is partitioned by the month in which
the job was opened, so that old months can be moved or dropped whole. A bench adds rows and reads them; it changes none.
"""

from __future__ import annotations

from typing import cast

import psycopg
from sqlalchemy import Connection

from sparehand.ground.errors import FailureError, InputError
from sparehand.sharing.database import SharedDatabase, has_table
from sparehand.sharing.database_rules import RULES
from sparehand.sharing.open_job_rows import OPEN_JOBS_TABLE
from sparehand.sharing.shared_pictures import PICTURES_TABLE

_TABLES = """
CREATE TABLE about (database text NOT NULL, version integer NOT NULL);
CREATE TABLE members (login name PRIMARY KEY, shop text NOT NULL);
CREATE FUNCTION my_shop() RETURNS text LANGUAGE sql STABLE SECURITY DEFINER SET search_path = sparehand, pg_temp
AS 'SELECT shop FROM members WHERE login = session_user';
CREATE TABLE benches (
    shop text NOT NULL, bench text NOT NULL, place bigint GENERATED ALWAYS AS IDENTITY, installation text NOT NULL,
    since timestamptz NOT NULL DEFAULT now(), PRIMARY KEY (shop, bench, place));
CREATE TABLE pushes (
    shop text NOT NULL, installation text NOT NULL, number bigint NOT NULL, bench text NOT NULL, token text NOT NULL,
    upto_event bigint NOT NULL, upto_row bigint NOT NULL, ahead_seconds double precision NOT NULL,
    arrived timestamptz NOT NULL DEFAULT now(), PRIMARY KEY (shop, installation, number));
CREATE TABLE people (shop text NOT NULL, person text NOT NULL, name text, PRIMARY KEY (shop, person));
CREATE INDEX ON people (shop, name);
CREATE TABLE jobs (
    shop text NOT NULL, job uuid NOT NULL, month date NOT NULL, name text NOT NULL, bench text NOT NULL,
    installation text NOT NULL, PRIMARY KEY (shop, job));
CREATE INDEX ON jobs (shop, name);
CREATE TABLE events (
    shop text NOT NULL, month date NOT NULL, job uuid NOT NULL, sequence integer NOT NULL, kind text NOT NULL,
    body text NOT NULL, chain bytea NOT NULL, redacted boolean NOT NULL, installation text NOT NULL,
    push bigint NOT NULL, PRIMARY KEY (shop, month, job, sequence)) PARTITION BY RANGE (month);
CREATE INDEX ON events (shop, installation, push)
    WHERE kind LIKE '%lesson%' OR kind IN ('words written', 'undone');
CREATE TABLE summaries (
    shop text NOT NULL, month date NOT NULL, job uuid NOT NULL, revision integer NOT NULL, name text NOT NULL,
    bench text NOT NULL, opened_at text NOT NULL, procedure text NOT NULL, operations text NOT NULL,
    corrosion text NOT NULL, support text NOT NULL, rework boolean NOT NULL, imported boolean NOT NULL,
    closed boolean NOT NULL, installation text NOT NULL, push bigint NOT NULL,
    PRIMARY KEY (shop, month, job, revision)) PARTITION BY RANGE (month);
CREATE INDEX ON summaries (shop, installation, push);
CREATE INDEX ON summaries (shop, procedure);
CREATE TABLE phase_times (
    shop text NOT NULL, month date NOT NULL, job uuid NOT NULL, revision integer NOT NULL, phase text NOT NULL,
    side text NOT NULL, technician text NOT NULL, work_seconds double precision NOT NULL,
    held_seconds double precision NOT NULL, snags text NOT NULL, complete boolean NOT NULL,
    PRIMARY KEY (shop, month, job, revision, phase, side, technician)) PARTITION BY RANGE (month);
CREATE TABLE procedures (
    shop text NOT NULL, sha256 text NOT NULL, place bigint GENERATED ALWAYS AS IDENTITY, procedure text NOT NULL,
    body text NOT NULL, bench text NOT NULL, PRIMARY KEY (shop, sha256));
CREATE TABLE tallies (
    shop text NOT NULL DEFAULT my_shop(), procedure text NOT NULL, revision bigint NOT NULL, body text,
    seal bigint NOT NULL, PRIMARY KEY (shop, procedure));
CREATE TABLE events_else PARTITION OF events DEFAULT;
CREATE TABLE summaries_else PARTITION OF summaries DEFAULT;
CREATE TABLE phase_times_else PARTITION OF phase_times DEFAULT;
INSERT INTO about VALUES (gen_random_uuid()::text, 0);
"""

_CURRENT_TIMES = """
CREATE VIEW current_times WITH (security_invoker = true) AS
SELECT s.shop, s.name AS job, s.bench, s.opened_at, s.procedure, s.operations, coalesce(n.name, p.technician)
    AS technician, p.side, p.phase, p.work_seconds, p.held_seconds, p.snags, s.corrosion, s.support, p.complete
FROM summaries s JOIN phase_times p USING (shop, month, job, revision)
LEFT JOIN people n ON n.shop = p.shop AND n.person = p.technician
WHERE s.closed AND NOT EXISTS (
    SELECT 1 FROM summaries later
    WHERE later.shop = s.shop AND later.month = s.month AND later.job = s.job AND later.revision > s.revision);
"""

_OPEN_MONTH = """
CREATE FUNCTION open_month(wanted date) RETURNS void LANGUAGE plpgsql SECURITY DEFINER
SET search_path = sparehand, pg_temp AS $$
DECLARE
    month_after date := wanted + interval '1 month';
    parent text;
    part text;
BEGIN
    -- A clock that is wrong by years must not make tables; its rows go with the others that have no month.
    IF wanted <> date_trunc('month', wanted) OR wanted < date '2000-01-01' OR wanted > now() + interval '40 days'
       OR to_regclass('phase_times_' || to_char(wanted, 'YYYY_MM')) IS NOT NULL THEN
        RETURN;
    END IF;
    PERFORM pg_advisory_xact_lock(hashtext('sparehand open_month'));
    FOREACH parent IN ARRAY ARRAY['events', 'summaries', 'phase_times'] LOOP
        part := parent || '_' || to_char(wanted, 'YYYY_MM');
        CONTINUE WHEN to_regclass(part) IS NOT NULL;
        EXECUTE format('CREATE TABLE %I (LIKE %I INCLUDING ALL)', part, parent);
        EXECUTE format('WITH moved AS (DELETE FROM %I WHERE month = %L RETURNING *) INSERT INTO %I SELECT * FROM moved',
                       parent || '_else', wanted, part);
        EXECUTE format('ALTER TABLE %I ATTACH PARTITION %I FOR VALUES FROM (%L) TO (%L)',
                       parent, part, wanted, month_after);
    END LOOP;
END $$;
"""

_ANOTHER_LOCK = _OPEN_MONTH.replace("CREATE", "CREATE OR REPLACE", 1).replace(
    "PERFORM pg_advisory_xact_lock(hashtext('sparehand open_month'))", "LOCK TABLE about IN SHARE ROW EXCLUSIVE MODE"
)
"""Anybody may take an advisory lock and keep it; of this table a bench may take none that is in the way."""

_ROLES = """
REVOKE ALL ON FUNCTION open_month(date), my_shop() FROM PUBLIC;
DO $$ BEGIN CREATE ROLE sparehand_bench NOLOGIN; EXCEPTION WHEN duplicate_object OR unique_violation THEN NULL; END $$;
DO $$ BEGIN CREATE ROLE sparehand_forget NOLOGIN; EXCEPTION WHEN duplicate_object OR unique_violation THEN NULL; END $$;
GRANT USAGE ON SCHEMA sparehand TO sparehand_bench, sparehand_forget;
GRANT EXECUTE ON FUNCTION my_shop() TO sparehand_bench, sparehand_forget;
GRANT EXECUTE ON FUNCTION open_month(date) TO sparehand_bench;
GRANT SELECT ON about TO sparehand_bench, sparehand_forget;
GRANT SELECT, INSERT ON benches, pushes, people, jobs, events, summaries, phase_times, procedures TO sparehand_bench;
GRANT SELECT ON current_times TO sparehand_bench;
GRANT SELECT, INSERT, UPDATE (revision, body, seal) ON tallies TO sparehand_bench;
GRANT SELECT, UPDATE (name) ON people TO sparehand_forget;
"""

_OF_SHOP = ("benches", "pushes", "people", "jobs", "events", "summaries", "phase_times", "procedures", "tallies")
_SEPARATION = "".join(
    f"ALTER TABLE {table} ENABLE ROW LEVEL SECURITY;\n"
    f"CREATE POLICY own_shop ON {table} USING (shop = (SELECT my_shop())) WITH CHECK (shop = (SELECT my_shop()));\n"
    for table in _OF_SHOP
)

MIGRATIONS: tuple[str, ...] = (
    _TABLES + _CURRENT_TIMES + _OPEN_MONTH + _ROLES + _SEPARATION,
    RULES + _ANOTHER_LOCK,
)
"""What leads from each version to the next; a version once released is never changed.

An older bench refuses a database of a later version. What it can do without is not a version but an addition.
"""

ADDITIONS = {"open_jobs": OPEN_JOBS_TABLE, "procedure_pictures": PICTURES_TABLE}
"""What a bench need not know of, by the table that shows that it is there."""


def set_up(database: SharedDatabase) -> None:
    """Make the tables, roles and rules, or bring older ones up to date; the login must own the database.

    Raises FailureError for a database that a newer Sparehand set up.
    """
    with database.transaction() as connection:
        connection.exec_driver_sql("SELECT pg_advisory_xact_lock(hashtext('sparehand set_up'))")
        connection.exec_driver_sql("CREATE SCHEMA IF NOT EXISTS sparehand")
        connection.exec_driver_sql("SET LOCAL search_path = sparehand, pg_temp")
        version = 0
        if has_table(connection, "about"):
            version = int(connection.exec_driver_sql("SELECT version FROM about").scalar_one())
        _require_known(version, database.place)
        for statements in MIGRATIONS[version:]:
            _run(connection, statements)
        for table, statements in ADDITIONS.items():
            if not has_table(connection, table):
                _run(connection, statements)
        connection.exec_driver_sql("UPDATE about SET version = %s", (len(MIGRATIONS),))


def admit(database: SharedDatabase, login: str, shop: str, *, forgets: bool = False) -> None:
    """Let a login, which must be there already, share as one of a shop; or blank names in it, where it `forgets`.

    Raises InputError for a login that the server does not know.
    """
    role = "sparehand_forget" if forgets else "sparehand_bench"
    with database.transaction() as connection:
        known = connection.exec_driver_sql("SELECT 1 FROM pg_roles WHERE rolname = %s", (login,)).first()
        if known is None:
            raise InputError(f"the server knows no login '{login}'; make it first: CREATE ROLE \"{login}\" LOGIN")
        quoted = connection.exec_driver_sql("SELECT quote_ident(%s)", (login,)).scalar_one()
        connection.exec_driver_sql(f"GRANT {role} TO {quoted}")
        connection.exec_driver_sql(
            "INSERT INTO sparehand.members VALUES (%s, %s) ON CONFLICT (login) DO UPDATE SET shop = excluded.shop",
            (login, shop),
        )


def require_version(connection: Connection, place: str) -> str:
    """The name that the database gave itself. Raises FailureError where it has another version than this Sparehand."""
    name, version = connection.exec_driver_sql("SELECT database, version FROM sparehand.about").one()
    _require_known(int(version), place)
    if int(version) < len(MIGRATIONS):
        raise FailureError(
            f"the database {place} was set up by an older Sparehand; its owner mends that: sparehand share URL --set-up"
        )
    return str(name)


def _require_known(version: int, place: str) -> None:
    if version > len(MIGRATIONS):
        raise FailureError(f"the database {place} was set up by a newer Sparehand; update this one")


def _run(connection: Connection, statements: str) -> None:
    """Several statements in one go, which the driver takes only where no values are bound."""
    raw = cast(psycopg.Connection, connection.connection.driver_connection)
    raw.cursor().execute(statements.encode())
