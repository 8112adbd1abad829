"""Today: each open job as it stands, from jobs played at the table."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from job.table import Table, demo_procedure, open_job
from sparehand.ground.clock import Moment
from sparehand.job import commands as c
from sparehand.job.events import BenchAlive
from sparehand.job.experience import ExpectedPhase, Experience
from sparehand.shop.earlier_jobs import shop_experience
from sparehand.visit.today import TodayJob, Told, today_job

MINUTE = 60_000


def told(table: Table) -> Told:
    return Told("bay 1", shop_experience(table.state.opened))


def at(table: Table, minutes: int = 0) -> Moment:
    now = table.clock.now()
    later = {"wall": now.wall + timedelta(minutes=minutes), "steady_ms": now.steady_ms + minutes * MINUTE}
    return now.model_copy(update=later)


def work(table: Table, minutes: int) -> None:
    table.clock.advance(minutes * MINUTE)
    table.record(BenchAlive())


def shown(table: Table, minutes: int = 0) -> TodayJob:
    return today_job(table.state, told(table), at(table, minutes))


def test_a_job_at_work_is_ready_after_the_work_that_is_left() -> None:
    table = open_job()
    work(table, 2)
    job = shown(table)
    assert (job.standing, job.waits_for, job.people[0].stopped_for) == ("working", (), "")
    assert job.phase_minutes == pytest.approx(2)
    assert job.work_left
    assert job.ready_half
    assert job.ready_most
    assert (job.ready_half - at(table).wall) / timedelta(hours=1) == pytest.approx(job.work_left[0])
    assert (job.ready_most - at(table).wall) / timedelta(hours=1) == pytest.approx(job.work_left[1])


def test_two_at_work_share_what_is_left() -> None:
    table = open_job()
    alone = shown(table)
    table.do(c.TechnicianJoins("Ben Field"), after_ms=0)
    both = shown(table)
    assert alone.ready_half
    assert both.ready_half
    now = at(table).wall
    assert (both.ready_half - now) / (alone.ready_half - now) == pytest.approx(0.5, abs=0.01)


def test_a_job_on_hold_says_what_it_waits_for_and_is_ready_at_no_moment() -> None:
    table = open_job()
    table.do(c.StartLine("work elsewhere"), c.Hold("parts"))
    job = shown(table)
    assert (job.standing, job.waits_for, job.ready_half) == ("on hold", ("parts", "work elsewhere"), None)
    assert job.work_left


def test_what_waits_for_approval_is_named() -> None:
    table = open_job(demo_procedure("brake-discs-epb"), ("brake-pads",))
    other = table.state.plan.procedure.operation("brake-discs")
    table.do(c.AddOperation(other.id))
    assert shown(table).waits_for == (f"an answer about {other.title}",)


def test_a_phase_is_over_its_range_only_beyond_nine_in_ten() -> None:
    table = open_job()
    key = table.state.progress.at.at
    work(table, 20)
    for p90, over in ((19.0, True), (21.0, False)):
        expected = Experience((ExpectedPhase(key, 5.0, 10.0, p90),))
        assert today_job(table.state, replace(told(table), experience=expected), at(table)).over_range is over


def test_a_silent_bench_is_off_and_its_time_stands_still() -> None:
    table = open_job()
    work(table, 2)
    job = shown(table, minutes=600)
    assert (job.standing, job.ready_half) == ("bench off", None)
    assert job.phase_minutes == pytest.approx(2)
