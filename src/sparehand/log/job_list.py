"""The list of jobs, read without what writing needs: the command typed most often answers at once."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

from sparehand.log.marks import Marks
from sparehand.log.migrations import APPLICATION_ID, MIGRATIONS
from sparehand.log.shown_names import seal_of_person, shown_name
from sparehand.log.store import JobHeader

_FORM = "SELECT application_id, user_version FROM pragma_application_id, pragma_user_version"
_JOBS = (
    "SELECT j.job, j.procedure, j.opened_at, j.closed_batch IS NULL, j.technician, j.vehicle, p.name, p.seal, "
    "(SELECT t.left_out FROM job_times t WHERE t.job = j.job AND t.imported = 0) "
    "FROM jobs j LEFT JOIN people p ON p.id = j.technician ORDER BY j.opened_at, j.job"
)


def listed_jobs(path: Path) -> tuple[JobHeader, ...] | None:
    """The jobs of the log at `path`, the oldest first; none where there is no file.

    None where anything wants a closer look, such as another form or damage: `SqliteEventStore.jobs` then tells.
    """
    try:
        headers = _read(path) if path.exists() else ()
    except (sqlite3.Error, ValueError, TypeError):
        return None
    lost = Marks(path.with_suffix(".marks")).jobs() - {header.id for header in headers}
    return None if lost else headers


def _read(path: Path) -> tuple[JobHeader, ...]:
    """Raises ValueError where it is of another form."""
    with closing(sqlite3.connect(f"{path.resolve().as_uri()}?mode=ro", uri=True)) as connection:
        if connection.execute(_FORM).fetchone() != (APPLICATION_ID, len(MIGRATIONS)):
            raise ValueError(path)
        return tuple(_header(*row) for row in connection.execute(_JOBS))


def _header(
    id: str,
    procedure: str,
    opened: str,
    open: int,
    technician: str,
    vehicle: str,
    name: str | None,
    seal: int | None,
    left_out: str | None,
) -> JobHeader:
    """Raises ValueError for a name or a moment that is not what was written."""
    if seal is not None and seal != seal_of_person(technician, name):
        raise ValueError(technician)
    shown = shown_name(technician, name) if technician else ""
    return JobHeader(id, procedure, datetime.fromisoformat(opened), bool(open), shown, vehicle, left_out or "")
