"""The second version of the shared database: nobody speaks for another there, and no value is one that none can read.

An installation and a bench's name belong to the login that registered them first; every row that is added names an
installation of the login that adds it, and the push that carries it, the last of that installation.
"""

from __future__ import annotations

from sparehand.ground.bounds import EVENTS_OF_JOB, LINE_CHARACTERS, NAME_CHARACTERS, SECONDS, WORDS_CHARACTERS

_REGISTRATIONS = """
DROP TABLE tallies;
CREATE TABLE installations (
    shop text NOT NULL, installation text NOT NULL CHECK (char_length(installation) <= 64), login name NOT NULL,
    PRIMARY KEY (shop, installation));
CREATE FUNCTION my_installations() RETURNS SETOF text LANGUAGE sql STABLE SECURITY DEFINER
SET search_path = sparehand, pg_temp
AS 'SELECT installation FROM installations WHERE shop = my_shop() AND login = session_user';
CREATE FUNCTION my_benches() RETURNS SETOF text LANGUAGE sql STABLE SECURITY DEFINER
SET search_path = sparehand, pg_temp
AS 'SELECT DISTINCT bench FROM benches WHERE shop = my_shop() AND installation IN (SELECT my_installations())';
CREATE FUNCTION my_last_pushes() RETURNS TABLE (installation text, number bigint, upto_event bigint, upto_row bigint)
LANGUAGE sql STABLE SECURITY DEFINER SET search_path = sparehand, pg_temp
AS 'SELECT DISTINCT ON (p.installation) p.installation, p.number, p.upto_event, p.upto_row FROM pushes p
    WHERE p.shop = my_shop() AND p.installation IN (SELECT my_installations())
    ORDER BY p.installation, p.number DESC';
CREATE FUNCTION register_installation(wanted text) RETURNS boolean LANGUAGE plpgsql SECURITY DEFINER
SET search_path = sparehand, pg_temp AS $$
BEGIN
    INSERT INTO installations VALUES (my_shop(), wanted, session_user) ON CONFLICT DO NOTHING;
    RETURN wanted IN (SELECT my_installations());
END $$;
CREATE FUNCTION register_bench(wanted text, mine text) RETURNS boolean LANGUAGE plpgsql SECURITY DEFINER
SET search_path = sparehand, pg_temp AS $$
BEGIN
    LOCK TABLE benches IN SHARE ROW EXCLUSIVE MODE;
    IF NOT register_installation(mine) OR EXISTS (
        SELECT 1 FROM benches b JOIN installations i USING (shop, installation)
        WHERE b.shop = my_shop() AND b.bench = wanted AND i.login <> session_user) THEN
        RETURN false;
    END IF;
    INSERT INTO benches (shop, bench, installation) VALUES (my_shop(), wanted, mine);
    RETURN true;
END $$;
REVOKE ALL ON FUNCTION my_installations(), my_benches(), my_last_pushes(), register_installation(text),
    register_bench(text, text) FROM PUBLIC;
GRANT EXECUTE ON FUNCTION my_installations(), my_benches(), my_last_pushes(), register_installation(text),
    register_bench(text, text) TO sparehand_bench;
ALTER TABLE installations ENABLE ROW LEVEL SECURITY;
ALTER TABLE people ADD COLUMN installation text NOT NULL DEFAULT '';
ALTER TABLE procedures ADD COLUMN installation text NOT NULL DEFAULT '';
"""

_MINE = "shop = (SELECT my_shop()) AND installation IN (SELECT my_installations())"
MY_BENCH = f"{_MINE} AND bench IN (SELECT my_benches())"
_BY_LAST_PUSH = f"{_MINE} AND (installation, push) IN (SELECT installation, number FROM my_last_pushes())"
_OWN_JOB = (
    "EXISTS (SELECT 1 FROM jobs j WHERE j.shop = {0}.shop AND j.job = {0}.job AND j.month = {0}.month "
    "AND j.installation IN (SELECT my_installations()))"
)
_ADDED_WHERE = {
    "pushes": f"""{_MINE} AND installation = (
            SELECT b.installation FROM benches b WHERE b.shop = pushes.shop AND b.bench = pushes.bench
            ORDER BY b.place DESC LIMIT 1)
        AND (number, true, true) = (
            SELECT coalesce(max(l.number), 0) + 1, coalesce(max(l.upto_event), 0) <= pushes.upto_event,
                coalesce(max(l.upto_row), 0) <= pushes.upto_row
            FROM my_last_pushes() l WHERE l.installation = pushes.installation)""",
    "people": _MINE,
    "jobs": MY_BENCH,
    "events": f"{_BY_LAST_PUSH} AND {_OWN_JOB.format('events')}",
    "summaries": f"""{_BY_LAST_PUSH} AND bench IN (SELECT my_benches()) AND CASE WHEN imported
        THEN NOT EXISTS (SELECT 1 FROM jobs j WHERE j.shop = summaries.shop AND j.job = summaries.job)
        ELSE {_OWN_JOB.format("summaries")} END""",
    "phase_times": """shop = (SELECT my_shop()) AND EXISTS (
        SELECT 1 FROM summaries s WHERE s.shop = phase_times.shop AND s.month = phase_times.month
            AND s.job = phase_times.job AND s.revision = phase_times.revision
            AND (s.installation, s.push) IN (SELECT installation, number FROM my_last_pushes()))""",
    "procedures": MY_BENCH,
}
"""By table, what must hold of a row that a bench adds."""

_COLUMNS_ADDED = {
    "pushes": "shop, installation, number, bench, token, upto_event, upto_row, ahead_seconds",
    "procedures": "shop, sha256, procedure, body, bench, installation",
}
"""Where the database gives a column itself, those that a bench gives."""

_POLICIES = "".join(
    f"DROP POLICY own_shop ON {table};\n"
    f"CREATE POLICY reads ON {table} FOR SELECT USING (shop = (SELECT my_shop()));\n"
    f"CREATE POLICY adds ON {table} FOR INSERT TO sparehand_bench WITH CHECK ({holds});\n"
    f"REVOKE INSERT ON {table} FROM sparehand_bench;\n"
    f"GRANT INSERT{f' ({_COLUMNS_ADDED[table]})' if table in _COLUMNS_ADDED else ''} ON {table} TO sparehand_bench;\n"
    for table, holds in _ADDED_WHERE.items()
)
_OTHER_RIGHTS = """
DROP POLICY own_shop ON benches;
CREATE POLICY reads ON benches FOR SELECT USING (shop = (SELECT my_shop()));
REVOKE INSERT ON benches FROM sparehand_bench;
CREATE POLICY forgets ON people FOR UPDATE TO sparehand_forget
    USING (shop = (SELECT my_shop())) WITH CHECK (shop = (SELECT my_shop()) AND name IS NULL);
"""

_A_MONTH = "month = date_trunc('month', month) AND month BETWEEN '1899-12-01' AND '3000-01-01'"
_TEXTS = "char_length({}) <= " + str(NAME_CHARACTERS)
_HELD_TO = {
    "pushes": f"number > 0 AND upto_event >= 0 AND upto_row >= 0 AND abs(ahead_seconds) <= 1e12 AND {_TEXTS}".format(
        "bench || token"
    ),
    "people": f"char_length(person) <= {NAME_CHARACTERS} AND char_length(name) <= {2 * NAME_CHARACTERS}",
    "jobs": f"{_A_MONTH} AND {_TEXTS.format('name')}",
    "events": f"""{_A_MONTH} AND sequence BETWEEN 0 AND {EVENTS_OF_JOB} AND char_length(kind) <= {NAME_CHARACTERS}
        AND char_length(body) <= {LINE_CHARACTERS} AND octet_length(chain) = 32""",
    "summaries": f"""{_A_MONTH} AND revision BETWEEN 0 AND {EVENTS_OF_JOB} AND {_TEXTS.format("name")}
        AND char_length(opened_at) <= 40 AND {_TEXTS.format("procedure")}
        AND char_length(operations) <= {WORDS_CHARACTERS} AND {_TEXTS.format("corrosion || support")}""",
    "phase_times": f"""work_seconds BETWEEN 0 AND {SECONDS:.0f} AND held_seconds BETWEEN 0 AND {SECONDS:.0f}
        AND {_TEXTS.format("phase || side")} AND {_TEXTS.format("technician")}
        AND char_length(snags) <= {WORDS_CHARACTERS}""",
    "procedures": "octet_length(body) <= 262144 AND sha256 = encode(sha256(convert_to(body, 'UTF8')), 'hex')",
}
"""By table, what holds of every row. PostgreSQL sorts a value that is no number above all others, so that it is out."""

_CONSTRAINTS = "".join(
    f"DELETE FROM {table} WHERE NOT ({holds});\nALTER TABLE {table} ADD CONSTRAINT in_bounds CHECK ({holds});\n"
    for table, holds in _HELD_TO.items()
)

RULES = _REGISTRATIONS + _POLICIES + _OTHER_RIGHTS + _CONSTRAINTS
"""The statements that lead from the first version to the second; rows that no bench could read go."""
