"""What several tests of the log begin with."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from log.demo import long_job
from sparehand.log.sqlite import SqliteEventStore

NINE_EVENTS_JOB = "261125-k7qm"


@pytest.fixture
def store(tmp_path: Path) -> Iterator[SqliteEventStore]:
    """A log with one job of nine events, each appended by itself."""
    log = SqliteEventStore(tmp_path / "log.sqlite")
    for one in long_job(NINE_EVENTS_JOB, 9):
        log.append(NINE_EVENTS_JOB, one.sequence, [one])
    yield log
    log.close()
