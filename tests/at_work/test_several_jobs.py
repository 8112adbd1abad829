"""Several jobs are open at one bench: a technician works on one of them, and the others wait on hold."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import ExitStack
from datetime import UTC, datetime

import pytest
from hypothesis import given, settings, strategies as st

from job.table import demo_procedure, opening
from log.memory_store import MemoryEventStore
from sparehand.at_work.open_jobs import job_to_resume, others_put_aside
from sparehand.at_work.several_jobs import SeveralJobs
from sparehand.conversation.session import JobSession
from sparehand.ground.clock import HandClock, Moment, start_of_run
from sparehand.ground.errors import FailureError, InputError
from sparehand.job import commands as c, events as e
from sparehand.job.experience import Experience, Offer
from sparehand.job.ledger import milliseconds
from sparehand.job.state import fold
from sparehand.settings import Settings

MINUTE = 60_000


@pytest.fixture
def clock() -> HandClock:
    return start_of_run(datetime(2026, 3, 2, 8, 0, tzinfo=UTC), "run 0")


@pytest.fixture
def store() -> MemoryEventStore:
    return MemoryEventStore()


def opened(store: MemoryEventStore, job: str, clock: HandClock, technician: str = "Ada Brook") -> JobSession:
    vehicle = e.Vehicle(name=f"invented car {job}")
    event = opening().model_copy(update={"vehicle": vehicle, "technician": technician})
    clock.advance(1_000)
    return JobSession.open(store, job, event, clock.now(), "bench 1")


def at_the_bench(store: MemoryEventStore, session: JobSession, claims: ExitStack) -> SeveralJobs:
    claims.enter_context(store.claim(session.state.job))

    def take_up(job: str, now: Moment) -> JobSession:
        return JobSession.resume(store, job, now, "bench 1")

    return SeveralJobs(store, session, take_up, lambda _: None, claims)


def totals(store: MemoryEventStore, job: str) -> dict[str, int]:
    spans = fold(store.events(job)).ledger.all_spans()
    return {kind: total for kind in ("work", "hold", "gap") if (total := milliseconds(spans, kind))}


def test_the_other_job_puts_this_one_on_hold_and_goes_on_where_it_was(
    store: MemoryEventStore, clock: HandClock
) -> None:
    first = opened(store, "one", clock)
    first.put_aside(["Ada Brook"], clock.now())
    second = opened(store, "two", clock)
    with ExitStack() as claims:
        talk = at_the_bench(store, second, claims)
        clock.advance(10 * MINUTE)
        answer = talk.respond(c.OtherJob(), clock.now())
        assert answer.shown.startswith("Invented car one: ") or answer.shown.startswith("invented car one: ")
        assert talk.current.job == "one"
        assert talk.current.progress.hold is None
        clock.advance(5 * MINUTE)
        talk.respond(c.OtherJob(), clock.now())
        assert talk.current.job == "two"
        clock.advance(MINUTE)
        talk.session.stop(clock.now())
    assert totals(store, "one") == {"work": 5 * MINUTE, "hold": 10 * MINUTE + 1_000}
    assert totals(store, "two") == {"work": 11 * MINUTE, "hold": 5 * MINUTE}


class FailingStore(MemoryEventStore):
    """Cannot write the log of one job."""

    full = ""

    def append(self, job: str, expected_sequence: int, recorded: Sequence[e.Recorded]) -> None:
        if job == self.full:
            raise FailureError("no room")
        super().append(job, expected_sequence, recorded)


@pytest.mark.parametrize("full", ["one", "two"])
def test_a_switch_that_cannot_be_saved_leaves_the_technician_at_work_where_they_were(
    full: str, clock: HandClock
) -> None:
    store, began = FailingStore(), clock.now()
    first = opened(store, "one", clock)
    first.put_aside(["Ada Brook"], clock.now())
    with ExitStack() as claims:
        talk = at_the_bench(store, opened(store, "two", clock), claims)
        clock.advance(MINUTE)
        store.full = full
        with pytest.raises(FailureError):
            talk.respond(c.OtherJob(), clock.now())
        assert talk.current.job == "two"
        assert (fold(store.events("one")).progress.hold, talk.current.progress.hold) == ("other job", None)
        clock.advance(MINUTE)
        store.full = ""
        talk.respond(c.OtherJob(), clock.now())
        assert talk.current.job == "one"
        clock.advance(MINUTE)
        talk.session.stop(clock.now())
    assert totals(store, "one")["work"] == MINUTE
    assert totals(store, "two")["work"] == 2 * MINUTE
    assert sum(totals(store, "one").values()) == began.milliseconds_until(clock.now()) - 1_000


def test_which_job_names_this_one_and_the_others(store: MemoryEventStore, clock: HandClock) -> None:
    opened(store, "one", clock)
    second = opened(store, "two", clock)
    with ExitStack() as claims:
        told = at_the_bench(store, second, claims).respond(c.WhichJob(), clock.now()).shown
    assert "car two" in told
    assert "Also open: invented car one" in told


def test_without_another_job_it_says_so_and_the_work_goes_on(store: MemoryEventStore, clock: HandClock) -> None:
    only = opened(store, "one", clock)
    with ExitStack() as claims:
        talk = at_the_bench(store, only, claims)
        assert "No other job is open" in talk.respond(c.OtherJob(), clock.now()).shown
    assert talk.current.progress.hold is None


def test_a_job_that_another_window_has_is_left_to_it(store: MemoryEventStore, clock: HandClock) -> None:
    opened(store, "one", clock)
    second = opened(store, "two", clock)
    with ExitStack() as claims, store.claim("one"):
        assert "No other job" in at_the_bench(store, second, claims).respond(c.OtherJob(), clock.now()).shown


def test_whoever_switches_joins_the_job_of_another_technician(store: MemoryEventStore, clock: HandClock) -> None:
    opened(store, "one", clock, "Ben Field").put_aside(["Ben Field"], clock.now())
    second = opened(store, "two", clock)
    with ExitStack() as claims:
        talk = at_the_bench(store, second, claims)
        talk.respond(c.OtherJob(), clock.now())
    assert talk.current.progress.crew.acting == "Ada Brook"
    assert talk.current.progress.crew.names == ("Ben Field", "Ada Brook")


def test_beginning_a_job_puts_the_technicians_other_one_on_hold_and_nobody_elses(
    store: MemoryEventStore, clock: HandClock
) -> None:
    opened(store, "one", clock).stop(clock.now())
    opened(store, "two", clock, "Ben Field").stop(clock.now())
    clock.advance(MINUTE)
    with others_put_aside(store, "three", ["Ada Brook"], clock.now(), Settings()) as others:
        assert others == ("one",)
    assert fold(store.events("one")).progress.hold == "other job"
    assert fold(store.events("two")).progress.hold is None
    with others_put_aside(store, "three", ["Ada Brook"], clock.now(), Settings()) as others:
        assert others == ()


def test_nobody_works_in_two_windows_at_once(store: MemoryEventStore, clock: HandClock) -> None:
    opened(store, "one", clock)
    with store.claim("one"), pytest.raises(InputError, match="works on job one in another window"):
        others_put_aside(store, "two", ["Ada Brook"], clock.now(), Settings()).__enter__()


def test_resuming_without_a_name_tells_the_open_jobs_apart(store: MemoryEventStore, clock: HandClock) -> None:
    with pytest.raises(InputError, match="no job is open"):
        job_to_resume(store)
    opened(store, "one", clock)
    assert job_to_resume(store) == "one"
    opened(store, "two", clock)
    with pytest.raises(InputError, match=r"one \(invented car one, .*two \(invented car two"):
        job_to_resume(store)


_ACTS = st.sampled_from(
    [c.OtherJob(), c.Hold("parts"), c.Hold("phone"), c.GoOn(), c.Undo(), c.WhichJob(), c.Understood()]
)


@settings(max_examples=25, deadline=None)
@given(acts=st.lists(st.tuples(_ACTS, st.integers(0, 10**7)), max_size=12))
def test_a_technician_is_at_work_on_one_job_at_a_time_and_no_time_is_lost_between_jobs(
    acts: list[tuple[c.Command, int]],
) -> None:
    clock = start_of_run(datetime(2026, 3, 2, 8, 0, tzinfo=UTC), "run 0")
    store = MemoryEventStore()
    opened_at = {}
    for job in ("one", "two", "three"):
        session = opened(store, job, clock)
        opened_at[job] = clock.now()
        if job != "three":
            session.put_aside(["Ada Brook"], clock.now())
    with ExitStack() as claims:
        talk = at_the_bench(store, session, claims)
        for command, wait_ms in acts:
            clock.advance(wait_ms)
            assert talk.respond(command, clock.now()).lines
            states = [fold(store.events(job)) for job in opened_at]
            others = [state for state in states if state.job != talk.current.job]
            assert all(state.progress.hold for state in others)
            worked = sum(milliseconds(state.ledger.up_to(clock.now()).all_spans(), "work") for state in states)
            assert worked <= opened_at["one"].milliseconds_until(clock.now())
            for state in states:
                elapsed = opened_at[state.job].milliseconds_until(clock.now())
                assert milliseconds(state.ledger.up_to(clock.now()).all_spans()) == elapsed


def test_the_names_of_a_procedure_that_joins_are_learned_at_once(store: MemoryEventStore, clock: HandClock) -> None:
    axle, hub = demo_procedure("axle-job"), demo_procedure("hub-boot")
    event = opening(axle, ("arm-bush",))
    session = JobSession.open(store, "one", event, clock.now(), "bench 1", Experience(offers=(Offer(hub, ""),)))
    learned: list[str] = []
    with ExitStack() as claims:
        talk = SeveralJobs(
            store, session, lambda _job, _now: session, lambda _one: None, claims, lambda one: learned.append(one.title)
        )
        for command in (c.AddOperation("hub-boot.boot"), c.Approve("customer", "by phone"), c.Confirm(), c.Next()):
            talk.respond(command, clock.now())
    assert learned == ["Rear arm bush, with Rear hub"] * 2
