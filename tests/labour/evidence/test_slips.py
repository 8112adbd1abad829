"""Forgotten words are mended, trusted by half and listed; ordinary fast and slow work is not touched."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from labour.examples import job, link_jobs, procedure
from sparehand.labour.evidence.slips import Slip, gate_slips, phase_bins, usual_times
from sparehand.times.sample import Plans, SampleJob, clean_jobs

PLANS = Plans.of([procedure()])


def gate(sample: Sequence[SampleJob]) -> tuple[tuple[SampleJob, ...], tuple[Slip, ...]]:
    return gate_slips(sample, usual_times(phase_bins(sample), PLANS))


def test_a_forgotten_next_is_shared_out_in_proportion_and_listed() -> None:
    sample = clean_jobs([*link_jobs(6), job(9, {"access": 50, "link/left": 0.1, "refit": 25})])
    mended, slips = gate(sample)
    access, link, refit = mended[-1].cells
    assert access.seconds + link.seconds == pytest.approx(50.1 * 60)
    assert link.seconds / access.seconds == pytest.approx(30 / 20, rel=0.1)
    assert (access.weight, link.weight, refit.weight) == (0.5, 0.5, 1.0)
    assert [(slip.job, slip.phase) for slip in slips] == [("job-9", "link")]


def test_work_at_half_or_double_the_plan_is_not_a_slip() -> None:
    for factor in (0.5, 2.0):
        sample = clean_jobs(link_jobs(5, factor))
        assert gate(sample) == (sample, ())


def test_a_clock_left_running_overnight_counts_as_unfinished_and_is_listed() -> None:
    sample = clean_jobs([*link_jobs(6), job(9, {"access": 20, "link/left": 900, "refit": 25})])
    mended, slips = gate(sample)
    assert [(cell.phase, cell.complete) for cell in mended[-1].cells] == [
        ("access", True),
        ("link", False),
        ("refit", True),
    ]
    assert [(slip.phase, slip.done) for slip in slips] == [("link", "unfinished")]


def test_a_time_far_from_the_usual_one_is_no_slip_where_times_of_the_phase_differ_so_much() -> None:
    minutes = [2, 5, 10, 20, 30, 40, 60, 120, 240, 2000]
    sample = clean_jobs([job(n, {"access": 20, "link/left": some, "refit": 25}) for n, some in enumerate(minutes)])
    assert gate(sample) == (sample, ())
    clicked = clean_jobs([*link_jobs(6), job(9, {"access": 20, "link/left": 2000, "refit": 25})])
    assert [slip.done for slip in gate(clicked)[1]] == ["unfinished"]


def test_seconds_are_doubted_in_the_first_job_of_a_phase_without_a_plan() -> None:
    sample = clean_jobs([job(1, {"access": 50, "link/left": 0.1, "refit": 25})])
    without_plans = Plans({})
    mended, slips = gate_slips(sample, usual_times(phase_bins(sample), without_plans))
    assert [cell.phase for cell in mended[0].cells] == ["access", "refit"]
    assert [slip.phase for slip in slips] == ["link"]


def test_a_phase_clicked_through_beside_one_of_its_own_time_is_left_out() -> None:
    sample = clean_jobs([*link_jobs(6), job(9, {"access": 20, "link/left": 0.1, "refit": 25})])
    mended, slips = gate(sample)
    assert [cell.phase for cell in mended[-1].cells] == ["access", "refit"]
    assert [(slip.phase, slip.done) for slip in slips] == [("link", "left out")]


def test_a_whole_job_done_very_quickly_is_not_taken_for_slips_of_single_phases() -> None:
    sample = clean_jobs([*link_jobs(6), job(9, {"access": 1.0, "link/left": 1.5, "refit": 1.25})])
    _, slips = gate(sample)
    assert slips == ()


def test_the_seconds_listed_are_those_logged() -> None:
    sample = clean_jobs([*link_jobs(6), job(9, {"access": 50, "link/left": 0.1, "refit": 25})])
    _, slips = gate(sample)
    assert slips[0].seconds == pytest.approx(6)
