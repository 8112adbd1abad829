"""A name that nearly is a known one is asked about; another one is left alone."""

from __future__ import annotations

import pytest

from sparehand.ground.near_names import near_name

KNOWN = ("Ann Writer", "Ben", "Ida Demo")


@pytest.mark.parametrize(
    ("name", "near"),
    [
        ("ann writer", "Ann Writer"),
        ("Ann Wrtier", "Ann Writer"),
        ("ben", "Ben"),
        ("Ben", None),
        ("Cleo", None),
        ("", None),
    ],
)
def test_near_names(name: str, near: str | None) -> None:
    assert near_name(name, KNOWN) == near
