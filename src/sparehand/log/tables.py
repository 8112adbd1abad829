"""The tables of the log. How an older database becomes this one is in `migrations`."""

from __future__ import annotations

from sqlalchemy import BigInteger, Boolean, Column, Index, Integer, LargeBinary, MetaData, Table, Text, UniqueConstraint

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
    Column("seal", Integer, nullable=False),
    Column("forgotten", Text),
)
"""The only place where a technician's name stands. A name that was blanked is null, and `forgotten` a hash of it.
`seal` is a checksum over id and name, for no chain covers them."""

JOB_TIMES = Table(
    "job_times",
    METADATA,
    Column("place", Integer, primary_key=True),
    Column("job", Text, nullable=False, unique=True),
    Column("opened_at", Text, nullable=False),
    Column("procedure", Text, nullable=False),
    Column("operations", Text, nullable=False),
    Column("corrosion", Text, nullable=False),
    Column("support", Text, nullable=False),
    Column("phases", Text, nullable=False),
    Column("seconds", Text, nullable=False),
    Column("rework", Boolean, nullable=False),
    Column("imported", Boolean, nullable=False),
    Column("left_out", Text),
    Column("opened", Integer, nullable=False),
    Column("seal", Integer, nullable=False),
    Index("ix_job_times_opened", "procedure", "opened", "job"),
    sqlite_autoincrement=True,
)
"""One row a job that has phase times: closed jobs of this bench, and jobs imported. See `packed_jobs.PackedJob`; `seal`
is a checksum over its values, `opened` the microseconds from the epoch to `opened_at`. A job that changes gets a new
`place`, the highest so far. `left_out` says why the job does not count: '' where a person lets it count, null where
nobody has decided."""

TALLIES = Table(
    "tallies",
    METADATA,
    Column("procedure", Text, primary_key=True),
    Column("revision", Integer, nullable=False),
    Column("body", Text),
    Column("seal", BigInteger, nullable=False),
    Column("judged_by", Text),
)
"""What the phase times of each procedure add up to, as JSON with ids in place of names; null where it is to be counted
anew. `revision` rises with each change; `seal` is a checksum over procedure and body; `judged_by` is the plan by which
its imported jobs were judged, null where by none."""

VISIT_RECORDS = Table(
    "visit_records",
    METADATA,
    Column("place", Integer, primary_key=True),
    Column("kind", Text, nullable=False, index=True),
    Column("subject", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("body", Text, nullable=False),
    Column("private", Text),
    Column("seal", Integer, nullable=False),
)
"""What is recorded of visits outside of any job. `private` is null once it was blanked; `seal` is a checksum."""
