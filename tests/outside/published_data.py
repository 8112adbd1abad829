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

DELIVERY_CASES = _numbers(
    """
    7 3 3 4 6 7 2 7 30 5 16 10 4 6 9 10 6 7 3 17 10 26 9 8 4
    """
)
"""Products delivered (Montgomery & Peck 1982)."""

DELIVERY_FEET = _numbers(
    """
    560 220 340 80 150 330 110 210 1460 605 688 215 255 462 448 776 200 132 36 770 140 810 450 635 150
    """
)
"""Distance walked, feet."""

DELIVERY_MINUTES = _numbers(
    """
    16.68 11.5 12.03 14.88 13.75 18.11 8 17.83 79.24 21.5 40.33 21 13.5 19.75 24 29 15.35 19 9.5 35.1 17.9 52.32
    18.75 19.83 10.75
    """
)
"""Minutes to service a machine."""

LUNG_DAYS = _numbers(
    """
    306 455 1010 210 883 1022 310 361 218 166 170 654 728 71 567 144 613 707 61 88 301 81 624 371 394 520 574 118
    390 12 473 26 533 107 53 122 814 965 93 731 460 153 433 145 583 95 303 519 643 765 735 189 53 246 689 65 5 132
    687 345 444 223 175 60 163 65 208 821 428 230 840 305 11 132 226 426 705 363 11 176 791 95 196 167 806 284 641
    147 740 163 655 239 88 245 588 30 179 310 477 166 559 450 364 107 177 156 529 11 429 351 15 181 283 201 524 13
    212 524 288 363 442 199 550 54 558 207 92 60 551 543 293 202 353 511 267 511 371 387 457 337 201 404 222 62
    458 356 353 163 31 340 229 444 315 182 156 329 364 291 179 376 384 268 292 142 413 266 194 320 181 285 301 348
    197 382 303 296 180 186 145 269 300 284 350 272 292 332 285 259 110 286 270 81 131 225 269 225 243 279 276 135
    79 59 240 202 235 105 224 239 237 173 252 221 185 92 13 222 192 183 211 175 197 203 116 188 191 105 174 177
    """
)
"""Days of survival or observation, 228 patients (Loprinzi et al. 1994, J. Clin. Oncol. 12:601)."""

LUNG_DIED = (
    "1101101111111111111111111111111111111011111111111111111111111111111011011111111111010111011111011111"
    "0111110111111111111111111111001110101111101100111110011101100101001111011000111000100010111110100001"
    "1100010100000010010000100000"
)
"""1 where the patient died, 0 where the days are only a lower bound; same order."""

LOCOMOTIVE_FAILURES = _numbers(
    """
    22.5 37.5 46 48.5 51.5 53 54.5 57.5 66.5 68 69.5 76.5 77 78.5 80 81.5 82 83 84 91.5 93.5 102.5 107 108.5 112.5
    113.5 116 117 118.5 119 120 122.5 123 127.5 131 132.5 134
    """
)
"""Thousand miles to failure of 37 locomotive controls; 59 more ran 135 without failing (Lawless 1982; in SciPy's
censored-fit tests)."""

REPAIR_HOURS = _numbers(
    """
    0.2 0.3 0.5 0.5 0.5 0.5 0.6 0.6 0.7 0.7 0.7 0.8 0.8 1 1 1 1 1.1 1.3 1.5 1.5 1.5 1.5 2 2 2.2 2.5 2.7 3 3 3.3
    3.3 4 4 4.5 4.7 5 5.4 5.4 7 7.5 8.8 9 10.3 22 24.5
    """
)
"""Active repair times of an airborne communication transceiver, hours (von Alven 1964; Chhikara & Folks 1977,
Technometrics 19:461)."""
