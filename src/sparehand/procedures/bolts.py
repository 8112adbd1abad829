"""The most a bolt or nut can bear, by what is published. It only serves to question an entry that cannot be right."""

from __future__ import annotations

import math

from sparehand.procedures.threads import Thread

FRICTION_UPPER = 0.14
"""Thread and head friction taken for the upper plausibility of a torque (the higher of VDI 2230's usual columns)."""
YIELD_SHARE = 0.9
"""Share of the yield point that VDI 2230's table of assembly torques uses."""

_YIELD_MPA = {"5.6": 300.0, "5.8": 420.0, "6.8": 480.0, "8.8": 640.0, "9.8": 720.0, "10.9": 940.0, "12.9": 1100.0}
"""Least 0.2 % proof stress by property class, ISO 898-1 (8.8 up to M16)."""
_YIELD_88_ABOVE_M16_MPA = 660.0
_BOLT_OF_NUT = {"5": "5.8", "6": "6.8", "8": "8.8", "9": "9.8", "10": "10.9", "12": "12.9"}
"""The bolt class that a nut class pairs with, ISO 898-2."""
_YIELD_OF_GRADE_MPA = {"2": 393.0, "5": 634.0, "8": 896.0}
"""Least yield strength by grade of SAE J429 up to 3/4 inch: 57, 92 and 130 ksi."""


def weakest_class(thread: Thread) -> str:
    """The class or grade to count with where a file names none: what is said of it holds for all that are listed."""
    return "2" if thread.is_inch else "5.6"


def assembly_torque_nm(thread: Thread, property_class: str, friction: float = FRICTION_UPPER) -> float | None:
    """The assembly torque in N·m that uses 90 % of the yield point of a hexagon bolt, by VDI 2230 part 1.

    `friction` is taken for thread and head alike. A nut's class counts as that of the bolt it pairs with; an inch
    thread's is its SAE grade (`5` or `grade 5`). None for a size or class that is not listed.
    """
    size = thread.size
    yield_mpa = _yield_mpa(thread, property_class)
    if size is None or yield_mpa is None:
        return None
    pitch_diameter = thread.diameter_mm - 0.6495 * thread.pitch_mm
    twist = 1.5 * pitch_diameter / thread.stress_diameter_mm
    twist *= thread.pitch_mm / (math.pi * pitch_diameter) + 1.155 * friction
    preload_n = YIELD_SHARE * yield_mpa * thread.stress_area_mm2 / math.sqrt(1 + 3 * twist**2)
    head_diameter = (size.bearing_mm + size.hole_mm) / 2
    lever_mm = 0.16 * thread.pitch_mm + 0.58 * pitch_diameter * friction + head_diameter / 2 * friction
    return preload_n * lever_mm / 1000


def _yield_mpa(thread: Thread, property_class: str) -> float | None:
    if thread.is_inch:
        return _YIELD_OF_GRADE_MPA.get(property_class.lower().removeprefix("grade").strip())
    bolt_class = _BOLT_OF_NUT.get(property_class, property_class)
    if bolt_class == "8.8" and thread.diameter_mm > 16:
        return _YIELD_88_ABOVE_M16_MPA
    return _YIELD_MPA.get(bolt_class)
