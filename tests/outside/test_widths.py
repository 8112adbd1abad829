"""Widths across flats of plain hexagons: ISO 272, and the older DIN sizes (all from memory)."""

from __future__ import annotations

import pytest

from sparehand.procedures.bolts import read_thread, widths_across_flats_mm


@pytest.mark.parametrize(
    ("written", "widths_mm"),
    [
        ("M6", (10,)),
        ("M8", (13,)),
        ("M10", (16, 17)),
        ("M12", (18, 19)),
        ("M14", (21, 22)),
        ("M16", (24,)),
        ("M18", (27,)),
        ("M20", (30,)),
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
