"""Working hours on the shop's clock: what is done until when, counted slot by slot and by hand."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, strategies as st

from sparehand.visit.attendance import ALWAYS, Attendance, Staff, attendance

MORNINGS = attendance([(0.0, 4.0), (9.0, 13.0)], [], 18.0)


def test_work_stands_still_while_somebody_is_away() -> None:
    begins = np.array([0.0, 3.0, 3.0, 9.0, 3.5])
    work = np.array([4.0, 1.0, 1.5, 4.0, 9.0])
    # Four hours fill the morning; of 9 h from 3.5 on, 0.5 h fit into the first morning, 4 h into the second.
    assert MORNINGS.done(begins, work) == pytest.approx([4.0, 4.0, 9.5, 13.0, 22.5])
    assert MORNINGS.present(np.array([2.0, 4.0, 5.0, 13.0])) == pytest.approx([2.0, 9.0, 9.0, 18.0])
    assert MORNINGS.worked(np.array([0.0, 4.0, 8.0, 10.0, 20.0])) == pytest.approx([0.0, 4.0, 4.0, 5.0, 10.0])


def test_a_day_off_is_cut_out_and_overlaps_count_once() -> None:
    made = attendance([(0.0, 4.0), (3.0, 8.0), (8.0, 12.0)], [(2.0, 9.0), (11.0, 30.0)], 20.0)
    assert made.spans == ((0.0, 2.0), (9.0, 11.0), (20.0, float("inf")))
    assert attendance([(0.0, 4.0)], [(0.0, 4.0)], 4.0).spans == ((4.0, float("inf")),)


@given(
    there=st.lists(st.booleans(), min_size=1, max_size=30),
    start=st.integers(0, 29),
    slots=st.integers(1, 12),
)
def test_the_end_of_a_job_is_that_of_counting_slots(there: list[bool], start: int, slots: int) -> None:
    spans = [(float(slot), slot + 1.0) for slot, works in enumerate(there) if works]
    staff = Staff([attendance(spans, [], len(there)), ALWAYS])
    present = [*there, *[True] * 60]
    left, slot = slots, start
    while left:
        left -= present[slot]
        slot += 1
    assert staff.end(staff.kind(0), start, slots) == slot
    assert staff.end(staff.kind(1), start, slots) == start + slots
    assert staff.next_start(staff.kind(0), start) == next(each for each in range(start, 99) if present[each])


def test_another_unit_is_the_same_time() -> None:
    assert MORNINGS.on_clock(0.5).spans[1] == (18.0, 26.0)
    assert Attendance(((0.0, float("inf")),)) == ALWAYS
