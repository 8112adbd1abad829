"""Widths across flats of plain hexagons: ISO 272, the older DIN sizes, JIS B 1180's small ones, ASME B18.2.1 (all from
memory)."""

from __future__ import annotations

import pytest

from sparehand.procedures.threads import read_thread, widths_across_flats_mm


@pytest.mark.parametrize(
    ("written", "widths_mm"),
    [
        ("M6", (10,)),
        ("M8", (13, 12)),
        ("M10", (16, 17, 14)),
        ("M12", (18, 19, 17)),
        ("M14", (21, 22, 19)),
        ("M16", (24, 22)),
        ("M18", (27, 24)),
        ("M20", (30, 27)),
        ("M24", (36, 32)),
        ("M30", (46,)),
        ("M36", (55,)),
    ],
)
def test_width_across_flats(written: str, widths_mm: tuple[float, ...]) -> None:
    thread = read_thread(written)
    assert thread is not None
    assert widths_across_flats_mm(thread) == widths_mm


def test_a_fine_pitch_has_the_width_of_its_diameter() -> None:
    # ISO 272 goes by diameter alone (from memory).
    fine, coarse = read_thread("M12x1.5"), read_thread("M12")
    assert fine is not None
    assert coarse is not None
    assert widths_across_flats_mm(fine) == widths_across_flats_mm(coarse)


@pytest.mark.parametrize(
    ("written", "widths_in"),
    [
        ("1/4-20", (7 / 16,)),
        ("7/16-20", (5 / 8, 11 / 16)),
        ("1/2-13", (3 / 4,)),
        ("3/4-10 UNC", (9 / 8,)),
        ("1-8", (3 / 2,)),
    ],
)
def test_width_across_flats_of_an_inch_thread(written: str, widths_in: tuple[float, ...]) -> None:
    thread = read_thread(written)
    assert thread is not None
    assert widths_across_flats_mm(thread) == pytest.approx([width * 25.4 for width in widths_in])
