"""Time is conserved to the millisecond, whatever the wall clock does, and a step of it is recorded."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings, strategies as st

from job.table import opening
from log.memory_store import MemoryEventStore
from sparehand.conversation.session import JobSession
from sparehand.ground.clock import HandClock, Moment, start_of_run
from sparehand.job import commands as c, events as e
from sparehand.job.ledger import milliseconds
from sparehand.job.noticing import ASLEEP_MS, STEP_MS
from sparehand.job.state import apply

MORNING = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


@dataclass
class BenchWithClock:
    """A bench whose wall clock may be wrong; `true_ms` is the time that really passed since the opening."""

    clock: HandClock = field(default_factory=lambda: start_of_run(MORNING, "run 0"))
    store: MemoryEventStore = field(default_factory=MemoryEventStore)
    true_ms: int = 0
    wrong_ms: int = 0
    session: JobSession = field(init=False)

    def __post_init__(self) -> None:
        opened = opening()
        self.session = JobSession.open(self.store, "a-job", opened, self.clock.now(), "bench 1")
        self.session.tick(self.clock.now())

    def work(self, seconds: int, command: c.Command = c.TimeCheck()) -> None:  # noqa: B008 - immutable
        """Second by second, then something is said."""
        for _ in range(seconds):
            self.passes(1_000)
            self.session.tick(self.clock.now())
        self.session.respond(command, self.clock.now())

    def passes(self, milliseconds_: int) -> None:
        self.true_ms += milliseconds_
        self.clock.advance(milliseconds_)

    def set_wall(self, by_ms: int) -> None:
        """Somebody, or the network, sets the clock."""
        self.wrong_ms += by_ms
        self.clock.set_wall(by_ms)
        self.session.tick(self.clock.now())

    def sleep(self, milliseconds_: int) -> None:
        """The lid is shut for so long."""
        self.passes(milliseconds_)
        self.session.tick(self.clock.now())

    def off(self, milliseconds_: int, boots_wrong_by_ms: int = 0) -> None:
        """Power off, and on again with a clock that may have lost the time."""
        self.session.stop(self.clock.now())
        self.passes(milliseconds_)
        self.clock.set_wall(boots_wrong_by_ms)
        self.wrong_ms += boots_wrong_by_ms
        run = f"run {len(self.store.events('a-job'))}"
        self.clock.moment = self.clock.moment.model_copy(update={"run": run, "steady_ms": 7})
        self.session = JobSession.resume(self.store, "a-job", self.clock.now(), "bench 1")
        self.session.tick(self.clock.now())

    def put_right(self) -> None:
        """The network sets a wrong clock right."""
        self.set_wall(-self.wrong_ms)

    def spans(self) -> dict[str, int]:
        spans = self.session.state.ledger.up_to(self.clock.now()).all_spans()
        return {kind: milliseconds(spans, kind) for kind in ("work", "hold", "gap")}

    def steps(self) -> list[int]:
        return [one.event.by_ms for one in self.store.events("a-job") if isinstance(one.event, e.ClockStepped)]


@pytest.fixture
def bench() -> BenchWithClock:
    return BenchWithClock()


@pytest.mark.parametrize("by_ms", [-7_200_000, -STEP_MS, STEP_MS, 86_400_000])
def test_a_step_of_the_wall_clock_is_recorded_and_moves_no_time(bench: BenchWithClock, by_ms: int) -> None:
    bench.work(10)
    bench.set_wall(by_ms)
    bench.work(10)
    assert bench.steps() == [by_ms]
    assert bench.spans() == {"work": 20_000, "hold": 0, "gap": 0}


def test_what_keeping_a_clock_right_moves_it_by_is_no_step(bench: BenchWithClock) -> None:
    bench.set_wall(STEP_MS - 1)
    assert bench.steps() == []


def test_daylight_saving_is_no_step_for_the_time_of_day_is_not_time() -> None:
    berlin = ZoneInfo("Europe/Berlin")
    before = datetime(2026, 3, 29, 0, 59, 59, tzinfo=UTC)
    first = Moment(wall=before.astimezone(berlin), steady_ms=0, run="run")
    second = Moment(wall=(before + timedelta(seconds=2)).astimezone(berlin), steady_ms=2_000, run="run")
    assert second.wall.hour - first.wall.hour == 2
    assert first.wall_step_ms(second) == 0
    assert first.milliseconds_until(second) == 2_000


def test_a_laptop_that_slept_leaves_a_gap_and_the_bench_asks_what_it_was(bench: BenchWithClock) -> None:
    bench.work(5)
    bench.passes(3_600_000)
    told = bench.session.tick(bench.clock.now())
    assert "The bench was off for 1 h." in told.shown
    assert bench.spans() == {"work": 5_000, "hold": 0, "gap": 3_600_000}
    bench.work(0, c.WasHold())
    assert bench.spans() == {"work": 5_000, "hold": 3_600_000, "gap": 0}


def test_a_laptop_that_slept_on_hold_was_on_hold(bench: BenchWithClock) -> None:
    bench.work(5, c.Hold("end of day"))
    bench.sleep(50_000_000)
    assert bench.spans() == {"work": 5_000, "hold": 50_000_000, "gap": 0}


@pytest.mark.parametrize("wrong_ms", [-900_000_000, 900_000_000], ids=["back to an old year", "far ahead"])
def test_a_clock_wrong_at_boot_is_mended_once_the_network_sets_it(bench: BenchWithClock, wrong_ms: int) -> None:
    bench.work(5)
    bench.off(3_600_000, boots_wrong_by_ms=wrong_ms)
    bench.work(30)
    bench.put_right()
    assert bench.steps() == [-wrong_ms]
    assert bench.spans() == {"work": 35_000, "hold": 0, "gap": 3_600_000}


def test_a_clock_set_long_after_boot_changes_no_gap(bench: BenchWithClock) -> None:
    bench.off(3_600_000)
    bench.work(700)
    bench.set_wall(86_400_000)
    assert bench.spans() == {"work": 700_000, "hold": 0, "gap": 3_600_000}


def test_undo_after_a_mended_clock_loses_no_time(bench: BenchWithClock) -> None:
    bench.work(5)
    bench.off(3_600_000, boots_wrong_by_ms=-900_000_000)
    bench.work(5, c.Hold("parts"))
    bench.put_right()
    bench.work(5, c.Undo())
    assert sum(bench.spans().values()) == bench.true_ms


_WRONG = st.integers(STEP_MS, 10**10) | st.integers(-(10**9), -STEP_MS)
_ACTS = st.lists(
    st.one_of(
        st.tuples(st.just("work"), st.integers(0, 3)),
        st.tuples(st.just("hold"), st.integers(0, 3)),
        st.tuples(st.just("go on"), st.integers(0, 3)),
        st.tuples(st.just("undo"), st.integers(0, 3)),
        st.tuples(st.just("gap was work"), st.integers(0, 3)),
        st.tuples(st.just("step there and back"), _WRONG),
        st.tuples(st.just("sleep"), st.integers(ASLEEP_MS + 1, 10**8)),
        st.tuples(st.just("off"), st.integers(0, 10**8)),
        st.tuples(st.just("off and wrong"), _WRONG),
    ),
    max_size=9,
)
_SAID: dict[str, c.Command] = {
    "hold": c.Hold("parts"),
    "go on": c.GoOn(),
    "undo": c.Undo(),
    "gap was work": c.WasWork(),
}


def play(bench: BenchWithClock, act: str, amount: int) -> None:
    match act:
        case "step there and back":
            bench.set_wall(amount)
            bench.work(1)
            bench.put_right()
        case "sleep":
            bench.sleep(amount)
        case "off":
            bench.off(amount)
        case "off and wrong":
            bench.off(abs(amount) // 3, boots_wrong_by_ms=amount)
            bench.work(2)
            bench.put_right()
        case _:
            bench.work(amount, _SAID.get(act, c.TimeCheck()))


@settings(max_examples=30, deadline=None)
@given(acts=_ACTS)
def test_all_true_time_is_there_and_replay_equals_live_at_every_prefix(acts: list[tuple[str, int]]) -> None:
    bench = BenchWithClock()
    live = {bench.session.state.next_sequence: bench.session.state}
    for act, amount in acts:
        play(bench, act, amount)
        live[bench.session.state.next_sequence] = bench.session.state
        assert sum(bench.spans().values()) == bench.true_ms
    state = None
    for recorded in bench.store.events("a-job"):
        state = apply(state, recorded)
        assert live.get(state.next_sequence, state) == state
