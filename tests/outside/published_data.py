"""Published data that the checks against the outside read, typed in so that no data package is needed."""

from __future__ import annotations


def _numbers(text: str) -> tuple[float, ...]:
    return tuple(float(word) for word in text.split())


RAIL = _numbers(
    """
    55 53 54 26 37 32 78 91 85 92 100 96 49 51 50 80 85 83
    """
)
"""Travel time of an ultrasonic wave, ns, 3 a rail for 6 rails in turn (Pinheiro & Bates 2000)."""

MACHINES = _numbers(
    """
    52 52.8 53.1 62.1 62.6 64 67.5 67.2 66.9 51.8 52.8 53.1 59.7 60 59 61.5 61.7 62.3 60 60.2 58.4 68.6 65.8 69.7
    70.8 70.6 71 51.1 52.3 50.3 63.2 62.8 62.2 64.1 66.2 64 50.9 51.8 51.4 64.8 65 65.4 72.1 72 71.1 46.4 44.8
    49.2 43.7 44.2 43 62 61.4 60.5
    """
)
"""Productivity score: 6 workers x 3 machines x 3 repeats, the last index fastest (Pinheiro & Bates 2000)."""

ERGO_STOOL = _numbers(
    """
    12 15 12 10 10 14 13 12 7 14 13 9 7 11 10 9 8 11 8 7 9 11 11 10 8 12 12 11 7 11 8 7 9 13 10 8
    """
)
"""Effort to rise from a stool: 9 subjects x 4 types, the type fastest (Pinheiro & Bates 2000)."""

DYESTUFF = _numbers(
    """
    1545 1440 1440 1520 1580 1540 1555 1490 1560 1495 1595 1550 1605 1510 1560 1445 1440 1595 1465 1545 1595 1630
    1515 1635 1625 1520 1455 1450 1480 1445
    """
)
"""Yield of dyestuff, g: 6 batches x 5 (Davies & Goldsmith 1972; Bates, Maechler, Bolker & Walker, lme4)."""

DYESTUFF_2 = _numbers(
    """
    7.298 3.846 2.434 9.566 7.99 5.22 6.556 0.608 11.788 -0.892 0.11 10.386 13.434 5.51 8.166 2.212 4.852 7.092
    9.288 4.98 0.282 9.014 4.458 9.446 7.198 1.722 4.782 8.106 0.758 3.758
    """
)
"""The boundary case: 6 batches x 5, no spread between batches (Box & Tiao 1973, lme4)."""

PENICILLIN = _numbers(
    """
    27 23 26 23 23 21 27 23 26 23 23 21 25 21 25 24 24 20 26 23 25 23 23 20 25 22 26 22 23 20 24 22 25 23 22 19 24
    20 23 21 22 19 26 22 26 24 24 21 24 21 24 22 22 20 24 21 24 23 22 19 26 23 26 24 24 21 25 22 26 24 24 20 26 24
    26 24 25 22 26 23 26 23 23 20 26 23 25 24 24 22 25 22 25 23 23 20 25 21 24 23 23 20 25 22 24 23 23 19 24 21 23
    21 21 19 26 23 26 24 24 21 25 21 24 22 22 18 25 22 25 22 22 20 24 21 24 22 24 19 24 21 24 22 21 18
    """
)
"""Diameter of growth inhibition, mm: 24 plates x 6 samples, the sample fastest (Davies & Goldsmith 1972, lme4)."""

REPAIR_HOURS = _numbers(
    """
    0.2 0.3 0.5 0.5 0.5 0.5 0.6 0.6 0.7 0.7 0.7 0.8 0.8 1 1 1 1 1.1 1.3 1.5 1.5 1.5 1.5 2 2 2.2 2.5 2.7 3 3 3.3
    3.3 4 4 4.5 4.7 5 5.4 5.4 7 7.5 8.8 9 10.3 22 24.5
    """
)
"""Active repair times of an airborne communication transceiver, hours (von Alven 1964; Chhikara & Folks 1977,
Technometrics 19:461)."""
