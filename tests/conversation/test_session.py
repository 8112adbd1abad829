"""Saved before said: an answer is given only after its events are durable."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime

import pytest

from job.table import opening
from log.memory_store import MemoryEventStore
from sparehand.conversation.session import ALIVE_EVERY_MS, JobSession
from sparehand.ground.clock import HandClock, start_of_run
from sparehand.ground.errors import FailureError
from sparehand.job import commands as c, events as e
from sparehand.job.answering.answer_overview import back_at_the_bench
from sparehand.job.state import fold


class BrokenStore(MemoryEventStore):
    """A store whose disk is full from a given moment on."""

    full = False

    def append(self, job: str, expected_sequence: int, recorded: Sequence[e.Recorded]) -> None:
        if self.full:
            raise FailureError("the disk is full; free some space and say it again")
        super().append(job, expected_sequence, recorded)


@pytest.fixture
def clock() -> HandClock:
    return start_of_run(datetime(2026, 3, 2, 8, 0, tzinfo=UTC), "run 0")


def begin(store: MemoryEventStore, clock: HandClock) -> JobSession:
    opened = opening()
    return JobSession.open(store, "a-job", opened, clock.now(), "bench 1")


def test_what_was_answered_is_in_the_log(clock: HandClock) -> None:
    store = MemoryEventStore()
    session = begin(store, clock)
    for command in (c.Understood(), c.Next(), c.Hold("parts"), c.GoOn(), c.Snag("seized")):
        clock.advance(5_000)
        session.respond(command, clock.now())
        assert fold(store.events("a-job")) == session.state


def test_nothing_is_answered_and_nothing_changes_when_it_cannot_be_saved(clock: HandClock) -> None:
    store = BrokenStore()
    session = begin(store, clock)
    before = session.state
    store.full = True
    with pytest.raises(FailureError, match="disk is full"):
        session.respond(c.Understood(), clock.now())
    assert session.state == before
    store.full = False
    assert session.respond(c.Understood(), clock.now()).lines


def test_a_question_to_the_bench_writes_nothing(clock: HandClock) -> None:
    store = MemoryEventStore()
    session = begin(store, clock)
    for command in (c.WhatIsLoose(), c.RepeatTorque(), c.WhereAmI(), c.TimeCheck(), c.SayAgain()):
        assert session.respond(command, clock.now()).lines
    assert len(store.events("a-job")) == 1


def test_a_power_cut_becomes_a_gap_until_somebody_says_what_it_was(clock: HandClock) -> None:
    store = MemoryEventStore()
    session = begin(store, clock)
    clock.advance(60_000)
    session.respond(c.Understood(), clock.now())
    clock.advance(3_600_000)
    clock.moment = clock.moment.model_copy(update={"run": "run 1", "steady_ms": 3})
    again = JobSession.resume(store, "a-job", clock.now(), "bench 1")
    kinds = [(span.label.kind, span.milliseconds) for span in again.state.ledger.all_spans()]
    assert kinds == [("work", 60_000), ("gap", 3_600_000)]
    again.respond(c.WasHold(), clock.now())
    assert [span.label.kind for span in again.state.ledger.all_spans()] == ["work", "hold"]


def test_the_bench_writes_now_and_then_that_it_is_alive(clock: HandClock) -> None:
    store = MemoryEventStore()
    session = begin(store, clock)
    clock.advance(ALIVE_EVERY_MS - 1)
    session.tick(clock.now())
    assert len(store.events("a-job")) == 1
    clock.advance(1)
    session.tick(clock.now())
    assert isinstance(store.events("a-job")[-1].event, e.BenchAlive)


def test_a_parked_job_goes_on_from_its_hold_and_the_night_is_no_labour(clock: HandClock) -> None:
    store = MemoryEventStore()
    session = begin(store, clock)
    session.respond(c.Understood(), clock.now())
    clock.advance(600_000)
    session.respond(c.Next(), clock.now())
    answer = session.respond(c.Park(), clock.now())
    assert "Not safe to drive." in answer.spoken
    assert session.over
    clock.advance(50_000_000)
    clock.moment = clock.moment.model_copy(update={"run": "run 1", "steady_ms": 3})
    again = JobSession.resume(store, "a-job", clock.now(), "bench 1")
    assert not again.over
    again.respond(c.GoOn(), clock.now())
    totals = {span.label.kind: span.milliseconds for span in again.state.ledger.all_spans()}
    assert totals == {"work": 600_000, "hold": 50_000_000}


def test_coming_back_it_says_what_was_done_last_and_asks_what_the_time_away_was(clock: HandClock) -> None:
    store = MemoryEventStore()
    session = begin(store, clock)
    clock.advance(60_000)
    session.respond(c.Understood(), clock.now())
    first = session.state.step.say
    session.respond(c.Next(), clock.now())
    clock.advance(3_600_000)
    clock.moment = clock.moment.model_copy(update={"run": "run 1", "steady_ms": 3})
    told = [line.shown for line in back_at_the_bench(JobSession.resume(store, "a-job", clock.now(), "bench 1").state)]
    gap = told.index("The bench was off for 1 h.")
    assert told[gap + 1] == "Say the gap was work, or the gap was a hold."
    assert f"Done last: {first}" in told[gap:]


def test_coming_back_from_a_hold_there_is_nothing_to_ask(clock: HandClock) -> None:
    store = MemoryEventStore()
    session = begin(store, clock)
    session.respond(c.Hold("parts"), clock.now())
    clock.advance(3_600_000)
    clock.moment = clock.moment.model_copy(update={"run": "run 1", "steady_ms": 3})
    told = back_at_the_bench(JobSession.resume(store, "a-job", clock.now(), "bench 1").state)
    assert not any("gap" in line.shown for line in told)
