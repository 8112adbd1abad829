"""Phase times as logs kept them before schema 7, a row each, on their way to one row a job."""

from __future__ import annotations

import zlib
from collections.abc import Iterable, Iterator, Mapping
from itertools import groupby
from typing import Any

from sqlalchemy import Connection

from sparehand.log.packed_jobs import HEAD_COLUMNS, NO_PHASES, from_values, packed, row_of
from sparehand.log.phase_times import put_jobs
from sparehand.log.time_rows import COLUMNS, TimeRow, number_text

UNPACKED = (*COLUMNS, "place", "imported", "seal")
"""What each form of the old table has."""
_NEVER = "1970-01-01T00:00:00+00:00"


def pack_rows(connection: Connection) -> None:
    """Move the rows of the table of before into the one of today. One that is not what was written stays so."""
    ordered = connection.exec_driver_sql(
        f"SELECT {', '.join(UNPACKED)}, rework, left_out FROM phase_times ORDER BY job, place"
    )
    put_jobs(connection, jobs_of_rows(ordered.mappings()))


def jobs_of_rows(rows: Iterable[Mapping[Any, Any]]) -> Iterator[tuple[Any, ...]]:
    """The rows of today's table; `rows` come in the order of their jobs. Of a bench's own job its own rows count."""
    for _, of_job in groupby(rows, key=lambda row: row["job"]):
        found = list(of_job)
        imported = all(row["imported"] for row in found)
        kept = [row for row in found if bool(row["imported"]) is imported]
        rework, left_out = bool(kept[0].get("rework")), kept[0].get("left_out")
        try:
            job = packed([TimeRow(**{column: row[column] for column in COLUMNS}) for row in kept])
            row = row_of(job, rework=rework, imported=imported, left_out=left_out, place=found[-1]["place"])
            whole = all(_seal_of(each) == each["seal"] for each in kept)
        except (TypeError, ValueError):  # damaged, which reading then tells
            job = from_values([*(kept[0][column] for column in HEAD_COLUMNS), NO_PHASES, ""])._replace(opened_at=_NEVER)
            row = row_of(job, rework=rework, imported=imported, left_out=left_out, place=found[-1]["place"])
            whole = False
        yield row if whole else (*row[:-1], -1)


def _seal_of(row: Mapping[Any, Any]) -> int:
    """The checksum of such a row, over what it says but the technician."""
    texts = {column: str(row[column]) for column in COLUMNS if column != "technician"}
    texts |= {column: number_text(row[column]) for column in ("work_seconds", "held_seconds")}
    texts["complete"] = "yes" if row["complete"] else "no"
    return zlib.crc32("\x1f".join(texts.values()).encode())
