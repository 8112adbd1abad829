"""What is recorded of visits outside of any job: estimates given and decided, promises made. Append-only.

Each record has a public body and a private one; what tells a customer or a price stands in the private one alone, which
is blanked once it is past retention.
"""

from __future__ import annotations

import zlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Engine, insert, select, update

from sparehand.ground.errors import InputError
from sparehand.log.connection import checkpoint, plain_errors, reading, writing
from sparehand.log.people import People
from sparehand.log.store import DamagedLogError
from sparehand.log.tables import VISIT_RECORDS as _V


@dataclass(frozen=True)
class VisitRecord:
    """One record: `subject` names the estimate or the planned job, `by` who recorded it; bodies are JSON.

    `private` is None once it was blanked.
    """

    kind: str
    subject: str
    at: datetime
    by: str
    body: str
    private: str | None


class VisitRecords:
    """The records in the database behind `engine`, whose file is `path`. Raises FailureError where it is not usable."""

    def __init__(self, engine: Engine, path: Path) -> None:
        self._engine = engine
        self._path = path

    def add(self, records: Sequence[VisitRecord]) -> None:
        """Record them all, or none."""
        with plain_errors(self._path), writing(self._engine) as connection:
            people = People(connection)
            for one in records:
                row = {
                    "kind": one.kind,
                    "subject": one.subject,
                    "at": one.at.astimezone(UTC).isoformat(timespec="microseconds"),
                    "person": people.id_of(one.by),
                    "body": one.body,
                    "private": one.private,
                }
                connection.execute(insert(_V).values(**row, seal=seal_of_visit(row)))

    def of_kind(self, *kinds: str) -> tuple[VisitRecord, ...]:
        """The records of these kinds, the oldest first. Raises DamagedLogError for one that is not what was written."""
        with plain_errors(self._path), reading(self._engine) as connection:
            people = People(connection)
            rows = connection.execute(select(_V).where(_V.c.kind.in_(kinds)).order_by(_V.c.place)).all()
            for row in rows:
                if row.seal != seal_of_visit(row._asdict()):
                    raise DamagedLogError(f"record {row.place} of visits is not what was written; restore a backup")
            return tuple(
                VisitRecord(
                    row.kind,
                    row.subject,
                    datetime.fromisoformat(row.at).astimezone(),
                    people.name_of(row.person),
                    row.body,
                    row.private,
                )
                for row in rows
            )

    def past_retention(self, before: datetime) -> int:
        """How many records from before that moment still hold something private."""
        return sum(one.private is not None and one.at < before for one in self.of_kind(*_KINDS))

    def blank(self, before: datetime) -> None:
        """Blank what is private in the records from before that moment, for good."""
        moment = before.astimezone(UTC).isoformat(timespec="microseconds")
        with plain_errors(self._path):
            with writing(self._engine) as connection:
                old = (_V.c.at < moment) & _V.c.private.is_not(None)
                for row in connection.execute(select(_V).where(old)).all():
                    blanked = {**row._asdict(), "private": None}
                    place = _V.c.place == row.place
                    connection.execute(update(_V).where(place).values(private=None, seal=seal_of_visit(blanked)))
            checkpoint(self._engine)


VISIT_COLUMNS = ("kind", "subject", "at", "person", "body", "private", "seal")
TIMES_DECIDED = "times decided"
"""A person let the times of a job count, or left them out."""
ESTIMATE_GIVEN, ESTIMATE_DECIDED, PROMISE_MADE = _KINDS = ("estimate given", "estimate decided", "promise made")


def find_subject(text: str, subjects: Sequence[str], what: str) -> str:
    """The one of `subjects` that is `text` or begins with it. Raises InputError otherwise."""
    known = tuple(dict.fromkeys(subjects))
    matching = [text] if text in known else [subject for subject in known if subject.startswith(text)]
    if len(matching) == 1 and text:
        return matching[0]
    there = ", ".join(known[-6:]) or "none"
    raise InputError(f"'{text}' names {len(matching) if text else 0} {what}s; the latest are: {there}")


def seal_of_visit(row: Mapping[str, object]) -> int:
    """The checksum over a record; no chain covers it."""
    return zlib.crc32("\n".join(str(row[field]) for field in VISIT_COLUMNS[:-1]).encode())
