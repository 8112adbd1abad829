"""What is published about metric bolts: stress area, widths across flats, and the most a bolt can bear.

None of it is a specification. It only serves to question an entry that cannot be right.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

_WRITTEN = re.compile(r"^M(?P<diameter>\d+(?:\.\d+)?)(?:x(?P<pitch>\d+(?:\.\d+)?))?$")

FRICTION_UPPER = 0.14
"""Thread and head friction taken for the upper plausibility of a torque (the higher of VDI 2230's usual columns)."""
YIELD_SHARE = 0.9
"""Share of the yield point that VDI 2230's table of assembly torques uses."""


@dataclass(frozen=True)
class BoltSize:
    """Standard dimensions of a metric size, in mm.

    Coarse pitch (ISO 261), width across flats (ISO 272), the older DIN width where it differs, least bearing face of
    a hexagon head (ISO 4014) and medium clearance hole (ISO 273).
    """

    coarse_pitch_mm: float
    width_mm: float
    old_width_mm: float | None
    bearing_mm: float
    hole_mm: float


_SIZES: dict[float, BoltSize] = {
    4: BoltSize(0.7, 7, None, 5.88, 4.5),
    5: BoltSize(0.8, 8, None, 6.88, 5.5),
    6: BoltSize(1, 10, None, 8.88, 6.6),
    8: BoltSize(1.25, 13, None, 11.63, 9),
    10: BoltSize(1.5, 16, 17, 14.63, 11),
    12: BoltSize(1.75, 18, 19, 16.63, 13.5),
    14: BoltSize(2, 21, 22, 19.64, 15.5),
    16: BoltSize(2, 24, None, 22.49, 17.5),
    18: BoltSize(2.5, 27, None, 25.34, 20),
    20: BoltSize(2.5, 30, None, 28.19, 22),
    22: BoltSize(2.5, 34, 32, 31.71, 24),
    24: BoltSize(3, 36, None, 33.61, 26),
}

_YIELD_MPA = {"5.6": 300.0, "5.8": 420.0, "6.8": 480.0, "8.8": 640.0, "9.8": 720.0, "10.9": 940.0, "12.9": 1100.0}
"""Least 0.2 % proof stress by property class, ISO 898-1 (8.8 up to M16)."""
_YIELD_88_ABOVE_M16_MPA = 660.0
_BOLT_OF_NUT = {"5": "5.8", "6": "6.8", "8": "8.8", "9": "9.8", "10": "10.9", "12": "12.9"}
"""The bolt class that a nut class pairs with, ISO 898-2."""


@dataclass(frozen=True)
class Thread:
    """A metric thread."""

    diameter_mm: float
    pitch_mm: float

    @property
    def stress_area_mm2(self) -> float:
        """Nominal stress area π/4·(d − 0.9382·P)², ISO 898-1, in mm²."""
        return math.pi / 4 * (self.diameter_mm - 0.9382 * self.pitch_mm) ** 2


def read_thread(written: str) -> Thread | None:
    """The thread from `M12` (coarse) or `M12x1.5`; None where it is not metric, or has no coarse pitch here."""
    match = _WRITTEN.match(written)
    if match is None:
        return None
    diameter = float(match["diameter"])
    if match["pitch"]:
        pitch = float(match["pitch"])
        return Thread(diameter, pitch) if pitch < diameter else None
    size = _SIZES.get(diameter)
    return Thread(diameter, size.coarse_pitch_mm) if size else None


def widths_across_flats_mm(thread: Thread) -> tuple[float, ...]:
    """Widths of a plain hexagon for the thread, in mm: ISO 272's first, then the older DIN one; empty if not listed."""
    size = _SIZES.get(thread.diameter_mm)
    if size is None:
        return ()
    return (size.width_mm,) if size.old_width_mm is None else (size.width_mm, size.old_width_mm)


def assembly_torque_nm(thread: Thread, property_class: str, friction: float = FRICTION_UPPER) -> float | None:
    """The assembly torque in N·m that uses 90 % of the yield point of a hexagon bolt, by VDI 2230 part 1.

    `friction` is taken for thread and head alike. A nut's class counts as that of the bolt it pairs with.
    None for a size or class that is not listed.
    """
    size = _SIZES.get(thread.diameter_mm)
    yield_mpa = _yield_mpa(thread, property_class)
    if size is None or yield_mpa is None:
        return None
    pitch_diameter = thread.diameter_mm - 0.6495 * thread.pitch_mm
    stress_diameter = thread.diameter_mm - 0.9382 * thread.pitch_mm
    twist = 1.5 * pitch_diameter / stress_diameter * (thread.pitch_mm / (math.pi * pitch_diameter) + 1.155 * friction)
    preload_n = YIELD_SHARE * yield_mpa * thread.stress_area_mm2 / math.sqrt(1 + 3 * twist**2)
    head_diameter = (size.bearing_mm + size.hole_mm) / 2
    lever_mm = 0.16 * thread.pitch_mm + 0.58 * pitch_diameter * friction + head_diameter / 2 * friction
    return preload_n * lever_mm / 1000


def _yield_mpa(thread: Thread, property_class: str) -> float | None:
    bolt_class = _BOLT_OF_NUT.get(property_class, property_class)
    if bolt_class == "8.8" and thread.diameter_mm > 16:
        return _YIELD_88_ABOVE_M16_MPA
    return _YIELD_MPA.get(bolt_class)
