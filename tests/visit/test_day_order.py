"""The order of a day against brute force: every sequence with every choice of technician and bay, on small days."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import permutations, product

import numpy as np
import pytest

from sparehand.visit.attendance import EVERYBODY, Staff, alike, attendance
from sparehand.visit.day_order import OrderJob, best_order, in_sequence, moved_about

HORIZON = 40


def small_day(seed: int, jobs: int, technicians: int, bays: int) -> tuple[OrderJob, ...]:
    """Jobs with steps of cost at their promises, some of them bound to a technician or a bay."""
    rng = np.random.default_rng(seed)
    return tuple(_job(rng, technicians, bays) for _ in range(jobs))


def _job(rng: np.random.Generator, technicians: int, bays: int) -> OrderJob:
    slots, release = int(rng.integers(1, 6)), int(rng.integers(0, 5)) if rng.random() < 0.3 else 0
    due = int(rng.integers(2, 12))
    late = np.clip((np.arange(HORIZON) - due) / int(rng.integers(1, 4)), 0, 1)
    return OrderJob(
        slots,
        release,
        frozenset([int(rng.integers(technicians))] if rng.random() < 0.4 else range(technicians)),
        frozenset([int(rng.integers(bays))] if bays and rng.random() < 0.4 else range(bays)),
        late + 0.001 * np.arange(HORIZON),
    )


def part_time(seed: int, technicians: int) -> tuple[Staff, list[list[bool]]]:
    """Technicians who come and go, and in which slots each is there; the first two at the same times."""
    rng = np.random.default_rng(seed)
    there = [np.repeat(rng.random(HORIZON // 4) < 0.6, 4).tolist() for _ in range(technicians)]
    there[1:2] = there[:1]
    spans = [[(float(slot), slot + 1.0) for slot, works in enumerate(one) if works] for one in there]
    return Staff([attendance(each, [], HORIZON) for each in spans]), [[*one, *[True] * 200] for one in there]


def by_kind(jobs: Sequence[OrderJob], staff: Staff, technicians: int) -> tuple[OrderJob, ...]:
    """The same jobs with costs for each kind of technician, which differ."""
    kinds = len(staff.kinds(range(technicians)))
    return tuple(replace(job, cost=np.array([job.cost + 0.01 * kind for kind in range(kinds)])) for job in jobs)


def every_order(jobs: Sequence[OrderJob], staff: Staff = EVERYBODY) -> Iterator[float]:
    """The cost of each way to do the day: who does what where, and one after the other at the earliest moment."""
    for who in product(*(sorted(job.technicians) for job in jobs)):
        for where in product(*(sorted(job.bays) or [-1] for job in jobs)):
            bound = [
                replace(job, technicians=frozenset([one]), bays=frozenset([bay]) & job.bays)
                for job, one, bay in zip(jobs, who, where, strict=True)
            ]
            for sequence in permutations(range(len(jobs))):
                yield in_sequence(bound, sequence, staff).cost


@pytest.mark.parametrize(("jobs", "technicians", "bays"), [(5, 1, 0), (5, 2, 0), (4, 2, 2), (4, 3, 2)])
@pytest.mark.parametrize("seed", range(3))
def test_no_order_is_better_than_the_one_found(seed: int, jobs: int, technicians: int, bays: int) -> None:
    day = small_day(seed, jobs, technicians, bays)
    found = best_order(day, 20)
    assert found.proven
    assert found.cost == pytest.approx(min(every_order(day)), abs=1e-6)
    assert found.cost <= moved_about(day).cost + 1e-6


@pytest.mark.parametrize(("jobs", "technicians", "bays"), [(5, 1, 0), (5, 2, 0), (4, 3, 2), (4, 2, 1)])
@pytest.mark.parametrize("seed", range(3))
def test_no_order_is_better_where_technicians_come_and_go(seed: int, jobs: int, technicians: int, bays: int) -> None:
    staff, there = part_time(seed, technicians)
    day = by_kind(small_day(seed, jobs, technicians, bays), staff, technicians)
    found = best_order(day, 20, staff)
    assert found.proven
    assert found.cost == pytest.approx(min(every_order(day, staff)), abs=1e-6)
    for order in (found, moved_about(day, staff)):
        spans = []
        for job, place in zip(day, order.places, strict=True):
            present = there[place.technician]
            assert present[place.start], "nobody begins who is away"
            ends = next(end for end in range(place.start, 999) if sum(present[place.start : end]) == job.slots)
            spans.append((place, place.start, ends))
        for (one, begins, ends), (other, starts, stops) in permutations(spans, 2):
            if one.technician == other.technician or one.bay == other.bay >= 0:
                assert ends <= starts or stops <= begins


@pytest.mark.parametrize("seed", range(4))
def test_nobody_does_two_jobs_at_once_and_no_bay_holds_two(seed: int) -> None:
    day = small_day(seed, 9, 3, 3)
    for order in (best_order(day, 5), moved_about(day), in_sequence(day, range(9))):
        for job, place in zip(day, order.places, strict=True):
            assert place.start >= job.release
            assert place.technician in job.technicians
            assert place.bay in job.bays
        spans = [(place, place.start, place.start + job.slots) for job, place in zip(day, order.places, strict=True)]
        for (one, begins, ends), (other, starts, stops) in permutations(spans, 2):
            if one.technician == other.technician or one.bay == other.bay:
                assert ends <= starts or stops <= begins


def test_a_job_that_runs_begins_at_once_and_first() -> None:
    late = np.arange(HORIZON, dtype=float)
    urgent, running = (
        OrderJob(2, 0, frozenset({0}), frozenset(), 10 * late),
        OrderJob(3, 0, frozenset({0}), frozenset(), late, runs=True),
    )
    assert [place.start for place in best_order((urgent, running), 5).places] == [3, 0]


def test_two_that_run_with_one_technician_still_get_an_order() -> None:
    running = OrderJob(3, 0, frozenset({0}), frozenset(), np.arange(HORIZON, dtype=float), runs=True)
    assert sorted(place.start for place in best_order((running, running), 5).places) == [0, 3]


def test_machines_are_alike_where_the_same_jobs_may_use_them() -> None:
    assert alike([frozenset({0, 1, 2}), frozenset({2})]) == [[0, 1], [2]]
