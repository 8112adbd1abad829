"""The forecast of a day: chances against an independent simulation, and times against the opening hours by hand."""

from __future__ import annotations

import heapq
import math
from datetime import UTC, datetime, timedelta, timezone

import numpy as np
import pytest
from scipy.stats import multivariate_normal

from sparehand.visit.attendance import Attendance
from sparehand.visit.day_forecast import DayBook, DayJob, Wait, forecast_day, order_jobs, simulate
from sparehand.visit.day_order import Place, best_order
from sparehand.visit.joint_hours import JobHours
from sparehand.visit.open_time import OpenTime

WINTER, SUMMER = timezone(timedelta(hours=1)), timezone(timedelta(hours=2))
MONDAY = datetime(2026, 11, 30, 8, 0, tzinfo=WINTER)
DRAWS = 20_000


def lognormal(median: float, sd: float, seed: int) -> np.ndarray:
    return np.sort(median * np.exp(sd * np.random.default_rng(seed).standard_normal(DRAWS)))


def day(*pairs: tuple[float, float]) -> list[tuple[datetime, datetime]]:
    return [(MONDAY + timedelta(hours=begins), MONDAY + timedelta(hours=ends)) for begins, ends in pairs]


def test_open_hours_run_only_while_the_shop_is_open() -> None:
    clock = OpenTime(day((0, 4), (5, 9)), MONDAY + timedelta(hours=1), 20)
    # From 9:00: three hours until noon, then from 13:00 on, and from 8:00 on the next day.
    for hours, moment in ((0, 1), (2, 3), (3, 4), (4, 6), (7, 9), (8, 25), (10.5, 27.5)):
        assert clock.moment_after(hours) == MONDAY + timedelta(hours=moment)
        assert clock.hours_until(MONDAY + timedelta(hours=moment)) == pytest.approx(hours)
    assert clock.moment_after(3, to_begin=True) == MONDAY + timedelta(hours=5)
    assert clock.hours_until(MONDAY + timedelta(hours=4.5)) == clock.hours_until(MONDAY + timedelta(hours=4))
    assert clock.hours_until(MONDAY - timedelta(days=1)) == 0


def test_a_change_to_winter_time_neither_adds_an_hour_nor_takes_one() -> None:
    # In the night to 25 October 2026 clocks in central Europe go back from 3:00 to 2:00 (EU Directive 2000/84/EC).
    before = datetime(2026, 10, 24, 12, 0, tzinfo=SUMMER)
    after = datetime(2026, 10, 25, 8, 0, tzinfo=WINTER)
    spans = [(before, before + timedelta(hours=4)), (after, after + timedelta(hours=4))]
    assert OpenTime(spans, before, 8).hours_until(after + timedelta(hours=1)) == pytest.approx(5)
    across = [(before, after)]
    assert OpenTime(across, before, 8).hours_until(after) == pytest.approx(21)


def test_a_shop_that_never_closes_goes_on_after_its_last_span() -> None:
    clock = OpenTime([(MONDAY, MONDAY + timedelta(hours=30))], MONDAY, 500)
    assert clock.moment_after(100) == MONDAY + timedelta(hours=100)
    assert clock.hours_until(MONDAY + timedelta(hours=77)) == pytest.approx(77)


def waited(wait: Wait, rng: np.random.Generator) -> float:
    """A wait of a held job, in hours; 1.2816 is the score that 9 in 10 of a normal distribution stay below."""
    sd = math.log(wait.p90_hours / wait.median_hours) / 1.2816
    return wait.median_hours * math.exp(sd * rng.normal()) if rng.random() < wait.chance else 0.0


Spans = list[tuple[float, float]]
ALL_DAY: Spans = [(0.0, math.inf)]


def finished(begins: float, hours: float, spans: Spans) -> float:
    """When so many hours are done, span by span."""
    for start, end in spans:
        fits = end - max(begins, start)
        if fits >= hours:
            return max(begins, start) + hours
        hours -= max(0.0, fits)
    raise AssertionError("the last span has no end")


def independent_simulation(
    jobs: list[DayJob], places: list[Place], draws: int, seed: int, who: tuple[Spans, ...] = (ALL_DAY, ALL_DAY)
) -> np.ndarray:
    """When each job is ready, played event by event with events in a heap, one run after the other."""
    rng = np.random.default_rng(seed)
    ready = np.empty((draws, len(jobs)))
    for run in range(draws):
        hours = [float(rng.choice(job.hours.draws)) for job in jobs]
        waits = [waited(job.wait, rng) if job.wait else 0.0 for job in jobs]
        waiting = sorted(range(len(jobs)), key=lambda number: places[number].start)
        busy: set[tuple[str, int]] = set()
        events = [(job.release, "arrives", number) for number, job in enumerate(jobs)]
        events += [(start, "somebody comes", -1) for spans in who for start, _ in spans]
        heapq.heapify(events)
        here: set[int] = set()
        while events:
            now, what, number = heapq.heappop(events)
            if what == "arrives":
                here.add(number)
            elif what == "done":
                busy.discard(("who", places[number].technician))
                heapq.heappush(events, (now + waits[number], "leaves", number))
            elif what == "leaves":
                busy.discard(("bay", places[number].bay))
                ready[run, number] = now
            claimed: set[tuple[str, int]] = set()
            for each in list(waiting):
                needs = {("who", places[each].technician), ("bay", places[each].bay)}
                spans = who[places[each].technician]
                there = any(start <= now < end for start, end in spans)
                if each in here and there and not needs & (busy | claimed):
                    busy |= needs
                    waiting.remove(each)
                    heapq.heappush(events, (finished(now, hours[each], spans), "done", each))
                claimed |= needs
    return ready


@pytest.mark.parametrize(
    "who",
    [(ALL_DAY, ALL_DAY), ([(0.4, 1.2), (1.6, 2.0), (2.5, math.inf)], [(0.0, 0.3), (1.1, 2.9), (4.0, math.inf)])],
    ids=["all day", "coming and going"],
)
def test_chances_are_those_of_an_independent_simulation(who: tuple[Spans, Spans]) -> None:
    wait = Wait(0.3, 0.5, 2.0)
    jobs = [
        DayJob("a", JobHours(lognormal(1.0, 0.3, 1)), promised=1.5),
        DayJob("b", JobHours(lognormal(0.8, 0.4, 2)), promised=2.4, wait=wait),
        DayJob("c", JobHours(lognormal(1.5, 0.3, 3)), promised=3.5, release=0.5),
        DayJob("d", JobHours(lognormal(0.6, 0.5, 4)), promised=3.2),
    ]
    places = [Place(0, 0, 0), Place(10, 0, 1), Place(5, 1, 2), Place(20, 1, 1)]
    attendances = tuple(Attendance(tuple(spans)) for spans in who)
    ready, _ = simulate(jobs, places, ("Ada", "Ben"), attendances, draws=20_000)
    other = independent_simulation(jobs, places, 4_000, 99, who)
    for number, job in enumerate(jobs):
        assert job.promised is not None
        stated, seen = np.mean(ready[:, number] <= job.promised), np.mean(other[:, number] <= job.promised)
        # Four standard errors of 4 000 independent runs.
        assert stated == pytest.approx(seen, abs=4 * math.sqrt(0.25 / 4_000))


def test_two_jobs_of_one_technician_are_late_together_as_their_variances_say() -> None:
    # Log variance 0.16, of which the shop has 0.04 and the person 0.08: correlation 0.75 with one technician,
    # 0.25 with two. The chance that both are late is that of a bivariate normal distribution (scipy).
    alone = lognormal(1.0, 0.4, 1)
    jobs = [DayJob(name, JobHours(alone, 0.04, 0.08), promised=1.0) for name in "ab"]
    for technicians, correlation in (((0, 1), 0.25), ((0, 0), 0.75)):
        places = [Place(0, technicians[0], -1), Place(0, technicians[1], -1)]
        ready, starts = simulate(jobs, places, ("Ada", "Ben"), draws=40_000)
        late = np.mean((ready - starts > 1.0).all(axis=1))
        both = multivariate_normal.cdf([0, 0], cov=[[1, correlation], [correlation, 1]])
        assert late == pytest.approx(both, abs=0.012)


def test_a_day_names_the_promise_at_risk_and_by_how_much() -> None:
    clock = OpenTime(day((0, 4), (5, 9)), MONDAY, 100)
    sure, tight = JobHours(np.full(10, 1.0)), JobHours(np.sort(np.repeat([1.5, 3.0], 10)))
    jobs = (
        DayJob("sure", sure, promised=1.0, promised_at=MONDAY + timedelta(hours=1)),
        DayJob("tight", tight, promised=3.0, promised_at=MONDAY + timedelta(hours=3)),
        DayJob("whenever", sure),
    )
    foretold = forecast_day(DayBook(MONDAY, jobs, ("Ada",), (), clock))
    rows = {row.name: row for row in foretold.jobs}
    assert [row.name for row in foretold.jobs] == ["sure", "tight", "whenever"]
    assert (rows["sure"].chance, rows["sure"].at_risk) == (1.0, False)
    # It begins at 9:00 and takes 1.5 hours or 3: ready at 12:00 in half of the cases, an hour late.
    assert rows["tight"].chance == pytest.approx(0.5, abs=0.03)
    assert rows["tight"].at_risk
    assert rows["tight"].late_minutes == pytest.approx(60)
    assert rows["tight"].ready_most == MONDAY + timedelta(hours=4)
    assert (rows["whenever"].promised, rows["whenever"].chance) == (None, None)
    assert foretold.promises == 2
    assert foretold.kept == pytest.approx(1.5, abs=0.03)


def test_the_order_keeps_more_than_the_file_where_the_file_is_the_wrong_way_round() -> None:
    clock = OpenTime(day((0, 9)), MONDAY, 100)
    jobs = (
        DayJob("long", JobHours(np.full(10, 4.0)), promised=8.0, promised_at=MONDAY + timedelta(hours=8)),
        DayJob("short", JobHours(np.full(10, 1.0)), promised=1.5, promised_at=MONDAY + timedelta(hours=1.5)),
    )
    foretold = forecast_day(DayBook(MONDAY, jobs, ("Ada",), (), clock))
    assert (foretold.kept, foretold.as_listed, foretold.proven) == (2.0, 1.0, True)


def test_slots_grow_with_the_day() -> None:
    few = [DayJob(str(number), JobHours(np.full(10, 0.5))) for number in range(3)]
    many = [DayJob(str(number), JobHours(np.full(10, 2.0)), technicians=frozenset(range(8))) for number in range(120)]
    assert order_jobs(few)[0][0].slots == 5
    assert order_jobs(many)[0][0].slots < 20
    assert best_order(order_jobs(few)[0], 5).proven


def test_moments_keep_the_zone_of_the_plan() -> None:
    assert OpenTime(day((0, 9)), MONDAY, 9).moment_after(1).utcoffset() == timedelta(hours=1)
    assert OpenTime(day((0, 9)), MONDAY.astimezone(UTC), 9).moment_after(1) == MONDAY + timedelta(hours=1)
