"""The tables of the log. How an older database becomes this one is in `migrations`."""

from __future__ import annotations

from sqlalchemy import Column, Integer, LargeBinary, MetaData, Table, Text, UniqueConstraint

METADATA = MetaData()

EVENTS = Table(
    "events",
    METADATA,
    Column("arrival", Integer, primary_key=True),
    Column("job", Text, nullable=False),
    Column("sequence", Integer, nullable=False),
    Column("id", Text, nullable=False, unique=True),
    Column("body", Text, nullable=False),
    Column("chain", LargeBinary, nullable=False),
    UniqueConstraint("job", "sequence"),
)
"""Append-only. `body` is the canonical JSON of the event with ids in place of names, `chain` its hash."""

JOBS = Table(
    "jobs",
    METADATA,
    Column("job", Text, primary_key=True),
    Column("procedure", Text, nullable=False),
    Column("opened_at", Text, nullable=False),
    Column("technician", Text, nullable=False),
    Column("vehicle", Text, nullable=False),
    Column("closed_batch", Integer),
)
"""One row a job, told by its events and kept so that a list of jobs need not read them. Open: no `closed_batch`."""

PEOPLE = Table(
    "people",
    METADATA,
    Column("id", Text, primary_key=True),
    Column("name", Text, index=True),
)
"""The only place where a technician's name stands. A name that was blanked is null."""
