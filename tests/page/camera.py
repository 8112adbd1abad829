"""A camera before the terminal."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import zxingcpp

_HALVES = {" ": (0, 0), "▀": (1, 0), "▄": (0, 1), "█": (1, 1)}
_PIXELS = 8


def read_back(rows: Sequence[str]) -> str:
    """What a QR reader makes of rows of blocks, dark on light."""
    modules = np.array([[_HALVES[sign] for sign in row] for row in rows]).transpose(0, 2, 1).reshape(-1, len(rows[0]))
    picture = np.kron(255 * (1 - modules), np.ones((_PIXELS, _PIXELS))).astype(np.uint8)
    (found,) = zxingcpp.read_barcodes(np.pad(picture, 4 * _PIXELS, constant_values=255))
    return str(found.text)
