"""Digits are drawn at least seven rows high and can be told apart."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given, settings, strategies as st

from sparehand.screens.digits import LEAST_ROWS, DigitSize, largest

numbers = st.lists(st.from_regex(r"-?[0-9]{1,4}(\.[0-9]{1,2})?", fullmatch=True), min_size=1, max_size=3)


@settings(deadline=None)
@given(numbers, st.integers(7, 60), st.integers(40, 300))
def test_they_fit_the_place_they_are_given(shown: list[str], rows: int, columns: int) -> None:
    size = largest(shown, rows, columns, between=3)
    if size is None:
        return
    drawn = [size.draw(number) for number in shown]
    assert LEAST_ROWS <= size.rows <= rows
    assert {len(lines) for lines in drawn} == {size.rows}
    assert sum(len(lines[0]) for lines in drawn) + 3 * (len(shown) - 1) <= columns
    for number, lines in zip(shown, drawn, strict=True):
        assert {len(line) for line in lines} == {size.columns_of(number)}


@pytest.mark.parametrize(
    "shown", [["120", "18", "16"], ["1062", "17", "17"], ["12.5", "10", "6"], ["88.5", "5.5", "13"]]
)
def test_torque_drive_and_counter_hold_fit_side_by_side_at_sixty_columns(shown: list[str]) -> None:
    assert largest(shown, rows=7, columns=58, between=3) is not None


@pytest.mark.parametrize("size", [DigitSize(7, 2, 2), DigitSize(7, 2, 1), DigitSize(14, 4, 4), DigitSize(17, 5, 5)])
def test_any_two_signs_differ_in_the_cells_of_a_whole_stroke(size: DigitSize) -> None:
    drawn = {sign: "".join(size.draw(sign)) for sign in "0123456789"}
    for one, other in combinations(drawn.values(), 2):
        differing = sum(a != b for a, b in zip(one, other, strict=True))
        assert differing >= 2 * size.stroke_columns


@settings(deadline=None)
@given(numbers, st.integers(7, 40))
def test_more_room_never_makes_them_smaller(shown: list[str], rows: int) -> None:
    small, large = (largest(shown, height, 150, between=3) for height in (rows, rows + 5))
    assert small is None or (large is not None and large.rows >= small.rows)


def test_where_they_cannot_fit_there_is_no_size() -> None:
    assert largest(["1062", "1062", "1062"], rows=7, columns=40, between=3) is None
