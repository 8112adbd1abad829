"""Statements by which one bench ("bay two") would speak for another ("bay one"), or store what none can read."""

from __future__ import annotations

import psycopg

from sharing.shop import Shop

NAN, INFINITY = "'NaN'", "'infinity'"
MINE = "(SELECT installation FROM benches WHERE bench = 'bay two' LIMIT 1)"
THEIRS = "(SELECT installation FROM benches WHERE bench = 'bay one' LIMIT 1)"
PUSH = f"(SELECT max(number) FROM pushes WHERE installation = {MINE})"
THEIR_JOB = f"(SELECT job FROM jobs WHERE installation = {THEIRS} LIMIT 1)"
MY_JOB = f"(SELECT job FROM jobs WHERE installation = {MINE} LIMIT 1)"


def an_event(job: str, sequence: object, installation: str, push: object, chain: str = "sha256('')") -> str:
    return (
        "INSERT INTO events (shop, month, job, sequence, kind, body, chain, redacted, installation, push) VALUES "
        f"('Demo Shop', '2026-11-01', {job}, {sequence}, 'undone', '{{}}', {chain}, false, {installation}, {push})"
    )


def a_revision(job: str, revision: object, installation: str, *, bench: str = "bay two", imported: bool = False) -> str:
    return (
        "INSERT INTO summaries VALUES ('Demo Shop', '2026-11-01', "
        f"{job}, {revision}, 'x', '{bench}', '2026-11-25', 'p', 'o', 'none', 'lift', false, {imported}, true, "
        f"{installation}, {PUSH})"
    )


def a_push(installation: str, number: object, upto: object = 99, ahead: str = "0", bench: str = "bay two") -> str:
    return (
        "INSERT INTO pushes (shop, installation, number, bench, token, upto_event, upto_row, ahead_seconds) VALUES "
        f"('Demo Shop', {installation}, {number}, '{bench}', 'token', {upto}, 0, {ahead})"
    )


NEXT = f"(SELECT max(number) + 1 FROM pushes WHERE installation = {MINE})"
THEIR_NEXT = f"(SELECT max(number) + 1 FROM pushes WHERE installation = {THEIRS})"

HUGE = "convert_to(repeat('x', 1000001), 'UTF8')"
A_PICTURE = (
    "INSERT INTO procedure_pictures (shop, procedure, path, sha256, body, bench, installation) VALUES "
    f"('Demo Shop', 'p', 'p/x.png', encode({{}}, 'hex'), {{}}, '{{}}', {MINE})"
)

ATTACKS = {
    "an event of another's job": an_event(THEIR_JOB, 99, MINE, PUSH),
    "an event as another": an_event(THEIR_JOB, 99, THEIRS, PUSH),
    "an event of an earlier push": an_event(MY_JOB, 99, MINE, 0),
    "an event beyond all": an_event(MY_JOB, 2**30, MINE, PUSH),
    "an event before all": an_event(MY_JOB, -1, MINE, PUSH),
    "an event with half a chain": an_event(MY_JOB, 99, MINE, PUSH, "'x'"),
    "a revision of another's job": a_revision(THEIR_JOB, 99, MINE),
    "a revision as another": a_revision(THEIR_JOB, 99, THEIRS),
    "a revision in another bench's name": a_revision(MY_JOB, 99, MINE, bench="bay one"),
    "a revision beyond all": a_revision(MY_JOB, 2**30, MINE),
    "an import in place of another's job": a_revision(THEIR_JOB, 99, MINE, imported=True),
    "phase times of another": "INSERT INTO phase_times SELECT shop, month, job, revision, 'x', '', 'y', 1, 1, '', true "
    f"FROM summaries WHERE installation = {THEIRS}",
    "a push as another": a_push(THEIRS, THEIR_NEXT),
    "a push in another bench's name": a_push(MINE, NEXT, bench="bay one"),
    "a push far ahead": a_push(MINE, 2**62),
    "a push again": a_push(MINE, 1),
    "a push that goes back": a_push(MINE, NEXT, upto=0),
    "a clock that is none": a_push(MINE, NEXT, ahead=NAN),
    "a clock beyond all": a_push(MINE, NEXT, ahead=INFINITY),
    "a name as another": f"INSERT INTO people VALUES ('Demo Shop', 'p', 'x', {THEIRS})",
    "another name": "UPDATE people SET name = 'x'",
    "a job as another": "INSERT INTO jobs VALUES "
    f"('Demo Shop', gen_random_uuid(), '2026-11-01', 'x', 'bay one', {THEIRS})",
    "a job of no month": "INSERT INTO jobs VALUES "
    f"('Demo Shop', gen_random_uuid(), 'infinity', 'x', 'bay two', {MINE})",
    "a bench's name": "INSERT INTO benches (shop, bench, installation) VALUES ('Demo Shop', 'bay one', 'x')",
    "a place before all others": "INSERT INTO procedures (shop, sha256, place, procedure, body, bench, installation) "
    f"OVERRIDING SYSTEM VALUE VALUES ('Demo Shop', 'x', {2**62}, 'p', 'b', 'bay two', {MINE})",
    "a procedure as another": "INSERT INTO procedures (shop, sha256, procedure, body, bench, installation) VALUES "
    f"('Demo Shop', encode(sha256('b'), 'hex'), 'p', 'b', 'bay one', {MINE})",
    "a procedure of another hash": "INSERT INTO procedures (shop, sha256, procedure, body, bench, installation) VALUES "
    f"('Demo Shop', 'x', 'p', 'b', 'bay two', {MINE})",
    "a picture as another": A_PICTURE.format("sha256('b')", "'b'", "bay one"),
    "a picture of another hash": A_PICTURE.format("sha256('x')", "'b'", "bay two"),
    "a picture beyond all": A_PICTURE.format(f"sha256({HUGE})", HUGE, "bay two"),
    "a registration": f"INSERT INTO installations VALUES ('Demo Shop', {THEIRS}, 'bay_two')",
    "another's registration": "UPDATE installations SET login = 'bay_two'",
    "the list of logins": "SELECT * FROM members",
    "another shop": "UPDATE members SET shop = 'Another Demo Shop'",
    "a part of a table": "SELECT * FROM events_else",
    "a table that all wait for": "LOCK TABLE about IN SHARE MODE",
    "rules": "ALTER TABLE events DISABLE ROW LEVEL SECURITY",
    "another's role": "SET ROLE sparehand_forget",
    "another's login": "SET SESSION AUTHORIZATION bay_one",
    "a function of the owner": "CREATE FUNCTION sparehand.my_shop(x int) RETURNS text LANGUAGE sql AS 'SELECT 1::text'",
    "a file": "COPY events TO PROGRAM 'true'",
}


def says(shop: Shop, login: str, *statements: str) -> None:
    """A login says statements of its own in the shared database, in one transaction."""
    with psycopg.connect(shop.server.url(shop.database, login)) as connection:
        connection.execute("SET search_path = sparehand")
        for statement in statements:
            connection.execute(statement)
