"""Rows of the shared database by the names under which they are set aside: whether they are there, and their end."""

from __future__ import annotations

import re
from collections.abc import Iterable

from sqlalchemy import Connection

from sparehand.ground.errors import InputError
from sparehand.sharing.database import SharedDatabase

_OF_REVISION = "shop = %s AND job = CAST(%s AS uuid) AND revision = CAST(%s AS integer)"
_TABLES = {
    "summary": (("phase_times", _OF_REVISION), ("summaries", _OF_REVISION)),
    "event": (("events", "shop = %s AND job = CAST(%s AS uuid) AND sequence = CAST(%s AS integer)"),),
    "procedure": (("procedures", "shop = %s AND sha256 = %s"),),
    "picture": (("procedure_pictures", "shop = %s AND sha256 = %s"),),
    "open": (("open_jobs", "shop = %s AND place = CAST(%s AS bigint)"),),
}
"""By kind: the tables that hold such a row, the one that names it last, and what finds it there."""
_SUMMARY_OR_EVENT = r"(summary|event)/([0-9a-f-]{36})/(\d{1,9})"
_ROW = re.compile(rf"{_SUMMARY_OR_EVENT}|(procedure|picture)/([0-9a-f]{{64}})|(open)/(\d{{1,18}})", re.ASCII)


def rows_there(connection: Connection, shop: str, rows: Iterable[str]) -> frozenset[str]:
    """Those of `rows` that the database still has."""
    found: set[str] = set()
    for row in rows:
        kind, *keys = _parts(row)
        table, where = _TABLES[kind][-1]
        query = f"SELECT 1 FROM sparehand.{table} WHERE {where} LIMIT 1"
        if connection.exec_driver_sql(query, (shop, *keys)).first():
            found.add(row)
    return frozenset(found)


def drop_row(database: SharedDatabase, shop: str, row: str) -> bool:
    """Delete a row of a shop for good; whether it was there. Only the owner of the database may."""
    kind, *keys = _parts(row)
    with database.transaction() as connection:
        return [
            connection.exec_driver_sql(f"DELETE FROM sparehand.{table} WHERE {where}", (shop, *keys)).rowcount
            for table, where in _TABLES[kind]
        ][-1] > 0


def _parts(row: str) -> list[str]:
    found = _ROW.fullmatch(row)
    if not found:
        raise InputError(f"'{row[:80]}' names no row; `sparehand share URL --set-aside` lists what can be dropped")
    return [part for part in found.groups() if part is not None]
