"""What is left open, grouped by side for the card: each sentence names its side itself."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from sparehand.procedures.model import Side

_SIDE = re.compile(
    r"^(?P<head>Left|Right|Front|Rear): |\((?P<behind>left|right|front|rear)\)|, (?P<inside>left|right|front|rear)\b"
)


@dataclass(frozen=True)
class OpenOnSide:
    """The sentences about one side; about none where `side` is empty."""

    side: str
    sentences: tuple[str, ...]


def by_side(sentences: Iterable[str], sides: Sequence[Side]) -> tuple[OpenOnSide, ...]:
    """The sentences of each side in the order of the job, then those of no side or of another one."""
    found: dict[str, list[str]] = {side: [] for side in (*sides, "")}
    for sentence in sentences:
        match = _SIDE.search(sentence)
        side = (match["head"] or match["behind"] or match["inside"]).lower() if match else ""
        words = sentence[match.end() :] if match and match["head"] and side in found else sentence
        found[side if side in found else ""].append(f"{words[:1].upper()}{words[1:]}")
    return tuple(OpenOnSide(side, tuple(group)) for side, group in found.items() if group)
