"""Whether a name that is not known is a known one, misspelt."""

from __future__ import annotations

import difflib
from collections.abc import Iterable

ALIKE = 0.75
"""From this share of common letters on (difflib's ratio) it is asked about; this project's choice."""


def said_to_be_new(name: str, known: Iterable[str]) -> str:
    """What a forecast says of a technician who has no times; nothing of one who has."""
    names = set(known)
    if name in names:
        return ""
    near = near_name(name, names)
    return f"{name} has no times here: taken as someone new to the shop." + (f" Is {near} meant?" if near else "")


def near_name(name: str, known: Iterable[str]) -> str | None:
    """The known name that is probably meant; None where the name is known itself, or like no other."""
    names = list(known)
    if name in names:
        return None
    by_small = {each.casefold(): each for each in sorted(names)}
    near = difflib.get_close_matches(name.casefold(), by_small, n=1, cutoff=ALIKE)
    return by_small[near[0]] if near else None
