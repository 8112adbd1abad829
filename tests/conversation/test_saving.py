"""A log that cannot be written: the bench stays, says so, and goes on when there is room again."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

import pytest

from conversation.noted import TABLE, NotedSpeaker, NotedView
from job.table import opening
from log.memory_store import MemoryEventStore
from sparehand.conversation.bench import Bench
from sparehand.conversation.input_stream import Incoming, TimePassed, TypedLine
from sparehand.conversation.session import JobSession
from sparehand.ground.clock import HandClock, start_of_run
from sparehand.ground.errors import FailureError
from sparehand.job.events import Recorded
from sparehand.job.state import fold


class FullDisk(MemoryEventStore):
    """A log on a disk that fills up and is made room on again. `commits` is whether a failed append is durable."""

    full = False
    commits = False

    def append(self, job: str, expected_sequence: int, recorded: Sequence[Recorded]) -> None:
        if not self.full or self.commits:
            super().append(job, expected_sequence, recorded)
        if self.full:
            raise FailureError("no room left on the disk")


class Shop:
    """A bench with a job whose disk the test fills."""

    def __init__(self) -> None:
        self.view, self.speaker, self.disk = NotedView(), NotedSpeaker(), FullDisk()
        self.clock: HandClock = start_of_run(datetime(2030, 1, 7, 8, tzinfo=UTC), "test")
        self.session = JobSession.open(self.disk, "a-job", opening(), self.clock.now(), "bench 1")
        self.bench = Bench(self.view, self.speaker, TABLE)

    def type(self, *lines: str) -> str:
        """Type lines a second apart; gives the last answer shown."""
        self.bench.run(self.session, [self._typed(line) for line in lines])
        return self.view.answers[-1]

    def wait(self, seconds: int) -> None:
        """Let seconds pass."""
        self.bench.run(self.session, [self._passed() for _ in range(seconds)])

    def _typed(self, line: str) -> Incoming:
        self.clock.advance(1_000)
        return TypedLine(line, self.clock.now())

    def _passed(self) -> Incoming:
        self.clock.advance(1_000)
        return TimePassed(self.clock.now())


@pytest.fixture
def shop() -> Shop:
    shop = Shop()
    shop.type("warning understood")
    return shop


def test_on_a_full_disk_it_stays_says_so_aloud_and_answers_nothing_unsaved(shop: Shop) -> None:
    before = shop.session.state
    shop.disk.full = True
    assert shop.type("next") == "Not recorded: no room left on the disk."
    assert shop.speaker.said[-1].startswith("Not recorded")
    assert shop.session.state == before


def test_what_only_reads_is_answered_on_a_full_disk(shop: Shop) -> None:
    shop.disk.full = True
    assert "Not recorded" not in shop.type("what is loose")


def test_it_goes_on_when_there_is_room_and_no_answered_event_is_lost(shop: Shop) -> None:
    shop.disk.full = True
    shop.type("next", "next")
    shop.disk.full = False
    assert shop.type("next").startswith("What you say is recorded again.")
    assert not shop.type("hold for parts").startswith("What you say is recorded")
    assert fold(shop.disk.events("a-job")) == shop.session.state


def test_a_long_fault_is_said_once_a_minute_and_its_end_by_itself(shop: Shop) -> None:
    shop.disk.full = True
    shop.wait(60 * 4)
    assert 2 <= sum(answer.startswith("Not recorded") for answer in shop.view.answers) <= 4
    shop.disk.full = False
    shop.wait(2)
    assert shop.view.answers[-1].startswith("What you say is recorded again.")


def test_an_event_that_is_durable_although_the_append_failed_after_it_counts(shop: Shop) -> None:
    shop.disk.full = shop.disk.commits = True
    assert "Not recorded" not in shop.type("next")
    shop.disk.full = False
    shop.type("next")
    assert fold(shop.disk.events("a-job")) == shop.session.state
