"""Stress areas of ISO 898-1 and assembly torques of VDI 2230 part 1."""

from __future__ import annotations

import math

import pytest

from sparehand.procedures.bolts import assembly_torque_nm
from sparehand.procedures.threads import INCH_MM, read_thread


@pytest.mark.parametrize(
    ("written", "area_mm2"),
    [
        # ISO 898-1, table of nominal stress areas, coarse pitch.
        ("M6", 20.1),
        ("M8", 36.6),
        ("M10", 58.0),
        ("M12", 84.3),
        ("M14", 115),
        ("M16", 157),
        # ISO 898-1 again, the smallest and the largest (from memory).
        ("M5", 14.2),
        ("M20", 245),
        ("M24", 353),
        ("M27", 459),
        ("M30", 561),
        ("M33", 694),
        ("M36", 817),
        # ISO 898-1, fine pitch (from memory).
        ("M8x1", 39.2),
        ("M10x1.25", 61.2),
        ("M12x1.5", 88.1),
        ("M14x1.5", 125),
        ("M16x1.5", 167),
    ],
)
def test_stress_area(written: str, area_mm2: float) -> None:
    thread = read_thread(written)
    assert thread is not None
    assert float(f"{thread.stress_area_mm2:.3g}") == area_mm2


@pytest.mark.parametrize(
    ("written", "area_in2"),
    [
        # ASME B1.1, tensile stress areas in square inches, coarse and fine (from memory).
        ("1/4-20", 0.0318),
        ("5/16-18 UNC", 0.0524),
        ("3/8-16", 0.0775),
        ("7/16-14", 0.1063),
        ("1/2-13", 0.1419),
        ("5/8-11", 0.226),
        ("3/4-10", 0.334),
        ("7/8-9", 0.462),
        ("1-8", 0.606),
        ("1/4-28 UNF", 0.0364),
        ("3/8-24", 0.0878),
        ("1/2-20", 0.1599),
    ],
)
def test_stress_area_of_an_inch_thread(written: str, area_in2: float) -> None:
    thread = read_thread(written)
    assert thread is not None
    assert thread.stress_area_mm2 / INCH_MM**2 == pytest.approx(area_in2, rel=0.002)


@pytest.mark.parametrize(
    ("written", "grade", "torque_ft_lb"),
    [
        # T = K·F·d with K = 0.2 and F = 75 % of the proof load of SAE J429 (85 ksi for grade 5, 120 for 8), dry: the
        # usual chart for shop use (from memory). 90 % of the yield point must lie above it, but not by half.
        ("3/8-16", "5", 31),
        ("1/2-13", "5", 75),
        ("1/2-13", "grade 8", 106),
        ("3/4-10", "8", 376),
    ],
)
def test_an_inch_bolt_bears_more_than_the_usual_chart_gives(written: str, grade: str, torque_ft_lb: float) -> None:
    thread = read_thread(written)
    assert thread is not None
    limit_nm = assembly_torque_nm(thread, grade)
    assert limit_nm is not None
    assert 1 < limit_nm / (torque_ft_lb * 1.3558) < 1.5


@pytest.mark.parametrize("diameter", [4, 5, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 27, 30, 33, 36])
def test_every_coarse_size_up_to_m36_is_known(diameter: int) -> None:
    thread = read_thread(f"M{diameter}")
    assert thread is not None
    assert assembly_torque_nm(thread, "8.8")


# VDI 2230 part 1, table of assembly torques at 90 % of the yield point (the table from memory; the values were
# computed again by its formula and agree to about 1 %). Columns: friction 0.12 and 0.14 in thread and head.
VDI_2230_NM = {
    "8.8": {
        "M6": (10.2, 11.3),
        "M8": (24.6, 27.3),
        "M10": (48.4, 53.9),
        "M12": (83.6, 93.0),
        "M16": (206, 230),
        "M20": (415, 464),
        "M24": (714, 798),
        "M30": (1428, 1597),
        "M36": (2482, 2778),
    },
    "10.9": {"M6": (14.9, 16.5), "M8": (36.1, 40.1), "M10": (71.1, 79.1), "M12": (123, 137), "M16": (303, 338)},
    "12.9": {"M8": (42.2, 46.9), "M10": (83.3, 92.6), "M12": (144, 160)},
}


@pytest.mark.parametrize(
    ("property_class", "written", "friction", "torque_nm"),
    [
        (property_class, written, friction, torque_nm)
        for property_class, sizes in VDI_2230_NM.items()
        for written, torques in sizes.items()
        for friction, torque_nm in zip((0.12, 0.14), torques, strict=True)
    ],
)
def test_assembly_torque(property_class: str, written: str, friction: float, torque_nm: float) -> None:
    thread = read_thread(written)
    assert thread is not None
    assert assembly_torque_nm(thread, property_class, friction) == pytest.approx(torque_nm, rel=0.01)


def test_a_fine_pitch_follows_the_same_formula() -> None:
    # VDI 2230 part 1, worked here by hand for M12x1.5 of class 10.9 at friction 0.14; bearing face 16.63 mm (ISO 4014)
    # and hole 13.5 mm (ISO 273) from memory.
    pitch_diameter, stress_diameter = 12 - 0.6495 * 1.5, 12 - 0.9382 * 1.5
    twist = 1.5 * pitch_diameter / stress_diameter * (1.5 / (math.pi * pitch_diameter) + 1.155 * 0.14)
    preload_n = 0.9 * 940 * math.pi / 4 * stress_diameter**2 / math.sqrt(1 + 3 * twist**2)
    lever_mm = 0.16 * 1.5 + 0.58 * pitch_diameter * 0.14 + 0.14 * (16.63 + 13.5) / 4
    fine, coarse = read_thread("M12x1.5"), read_thread("M12")
    assert fine is not None
    assert coarse is not None
    torque_nm = assembly_torque_nm(fine, "10.9")
    assert torque_nm == pytest.approx(preload_n * lever_mm / 1000)
    assert torque_nm is not None
    assert torque_nm > (assembly_torque_nm(coarse, "10.9") or math.inf)


def test_a_nut_counts_as_the_bolt_it_pairs_with() -> None:
    # ISO 898-2: a nut of class 10 goes with a bolt of class 10.9.
    thread = read_thread("M12x1.5")
    assert thread is not None
    assert assembly_torque_nm(thread, "10") == assembly_torque_nm(thread, "10.9")
