"""The way to the page as a QR code made of half-height blocks, for a tablet's camera."""

from __future__ import annotations

from itertools import zip_longest

import segno

BORDER_MODULES = 2
_BLOCKS = {(0, 0): " ", (1, 0): "▀", (0, 1): "▄", (1, 1): "█"}


def qr_rows(text: str) -> tuple[str, ...]:
    """`text` as rows of equal length, two modules a row, dark modules as blocks; to be shown dark on light."""
    code = segno.make(text, error="l", micro=False)
    modules = [list(row) for row in code.matrix_iter(border=BORDER_MODULES)]
    light = [0] * len(modules[0])
    pairs = zip_longest(modules[::2], modules[1::2], fillvalue=light)
    return tuple(
        "".join(_BLOCKS[bool(above), bool(below)] for above, below in zip(*pair, strict=True)) for pair in pairs
    )
