"""Metric and inch threads: what is written, stress area, and widths across flats.

None of it is a specification. It only serves to question an entry that cannot be right.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

INCH_MM = 25.4
_METRIC = re.compile(r"^M(?P<diameter>\d+(?:\.\d+)?)(?:x(?P<pitch>\d+(?:\.\d+)?))?$")
_INCH = re.compile(r"^(?P<over>\d+)(?:/(?P<under>[1-9]\d*))?-(?P<per_inch>[1-9]\d*)(?: UN[CF])?$")

WRITTEN = r"^(?:M\d+(?:\.\d+)?(?:x\d+(?:\.\d+)?)?|\d+(?:/[1-9]\d*)?-[1-9]\d*(?: UN[CF])?)$"
"""How a file writes a thread: `M12x1.5`, `M12` (coarse), `1/2-13` or `1/2-13 UNC`."""


@dataclass(frozen=True)
class BoltSize:
    """Standard dimensions of a size, in mm.

    Metric: coarse pitch (ISO 261), width across flats (ISO 272), least bearing face of a hexagon head (ISO 4014),
    medium clearance hole (ISO 273); `other_widths_mm` has the older DIN width and that of JIS B 1180's small hexagons.
    Inch: coarse pitch (ASME B1.1), width of a hex cap screw (ASME B18.2.1), its bearing face taken as 0.95 of that,
    normal clearance hole (ASME B18.2.8); `other_widths_mm` has a hex nut's where it differs (ASME B18.2.2).
    """

    coarse_pitch_mm: float
    width_mm: float
    other_widths_mm: tuple[float, ...]
    bearing_mm: float
    hole_mm: float


def _inch(per_inch: int, width: float, hole: float, nut: float | None = None) -> BoltSize:
    nuts = () if nut is None else (nut * INCH_MM,)
    return BoltSize(INCH_MM / per_inch, width * INCH_MM, nuts, 0.95 * width * INCH_MM, hole * INCH_MM)


_METRIC_SIZES: dict[float, BoltSize] = {
    4: BoltSize(0.7, 7, (), 5.88, 4.5),
    5: BoltSize(0.8, 8, (), 6.88, 5.5),
    6: BoltSize(1, 10, (), 8.88, 6.6),
    8: BoltSize(1.25, 13, (12,), 11.63, 9),
    10: BoltSize(1.5, 16, (17, 14), 14.63, 11),
    12: BoltSize(1.75, 18, (19, 17), 16.63, 13.5),
    14: BoltSize(2, 21, (22, 19), 19.64, 15.5),
    16: BoltSize(2, 24, (22,), 22.49, 17.5),
    18: BoltSize(2.5, 27, (24,), 25.34, 20),
    20: BoltSize(2.5, 30, (27,), 28.19, 22),
    22: BoltSize(2.5, 34, (32, 30), 31.71, 24),
    24: BoltSize(3, 36, (32,), 33.61, 26),
    27: BoltSize(3, 41, (), 38, 30),
    30: BoltSize(3.5, 46, (), 42.75, 33),
    33: BoltSize(3.5, 50, (), 46.55, 36),
    36: BoltSize(4, 55, (), 51.11, 39),
}
_INCH_SIZES: dict[float, BoltSize] = {
    1 / 4: _inch(20, 7 / 16, 9 / 32),
    5 / 16: _inch(18, 1 / 2, 11 / 32),
    3 / 8: _inch(16, 9 / 16, 13 / 32),
    7 / 16: _inch(14, 5 / 8, 15 / 32, 11 / 16),
    1 / 2: _inch(13, 3 / 4, 9 / 16),
    9 / 16: _inch(12, 13 / 16, 5 / 8, 7 / 8),
    5 / 8: _inch(11, 15 / 16, 11 / 16),
    3 / 4: _inch(10, 9 / 8, 13 / 16),
    7 / 8: _inch(9, 21 / 16, 15 / 16),
    1: _inch(8, 3 / 2, 35 / 32),
}


@dataclass(frozen=True)
class Thread:
    """A thread with 60° flanks, metric or inch, in mm."""

    diameter_mm: float
    pitch_mm: float
    is_inch: bool = False

    @property
    def stress_area_mm2(self) -> float:
        """Nominal stress area π/4·(d − k·P)² in mm²: k is 0.9382 by ISO 898-1, 0.9743 by ASME B1.1."""
        return math.pi / 4 * self.stress_diameter_mm**2

    @property
    def stress_diameter_mm(self) -> float:
        """The diameter of that area, in mm."""
        return self.diameter_mm - (0.9743 if self.is_inch else 0.9382) * self.pitch_mm

    @property
    def size(self) -> BoltSize | None:
        """Its standard dimensions; None for a diameter that is not listed."""
        if self.is_inch:
            return _INCH_SIZES.get(round(self.diameter_mm / INCH_MM, 6))
        return _METRIC_SIZES.get(self.diameter_mm)


def read_thread(written: str) -> Thread | None:
    """The thread from `M12x1.5`, `M12` (coarse) or `1/2-13`; None where it is neither, or has no coarse pitch here."""
    if match := _INCH.match(written):
        diameter, pitch = int(match["over"]) / int(match["under"] or 1), 1 / int(match["per_inch"])
        return Thread(diameter * INCH_MM, pitch * INCH_MM, is_inch=True) if pitch < diameter else None
    match = _METRIC.match(written)
    if match is None:
        return None
    diameter = float(match["diameter"])
    size = _METRIC_SIZES.get(diameter)
    pitch = float(match["pitch"]) if match["pitch"] else size.coarse_pitch_mm if size else diameter
    return Thread(diameter, pitch) if pitch < diameter else None


def widths_across_flats_mm(thread: Thread) -> tuple[float, ...]:
    """Widths of a plain hexagon for the thread, in mm, the present standard's first; empty if not listed."""
    size = thread.size
    return () if size is None else (size.width_mm, *size.other_widths_mm)
