"""What can be said at a moment: the likeliest phrases first, and all that may be typed."""

from __future__ import annotations

from collections.abc import Iterator, Set

from sparehand.job.situation import SITUATIONS, Situation
from sparehand.job.state import JobState
from sparehand.voice.phrases.phrase_table import Pattern, PhraseTable
from sparehand.voice.phrases.slots import WORDS, Slot

PHRASES_NAMED = 16
_LIKELIEST = (
    "Confirm",
    "Refuse",
    "Understood",
    "ChooseWay",
    "GoOn",
    "EndMemo",
    "MarkIsMade",
    "MarkIsFound",
    "Finding",
    "Renewed",
    "ConditionHolds",
    "CheckPassed",
    "Reading",
    "FastenerDoes",
    "NewStep",
    "MarkDone",
    "Next",
    "RepeatTorque",
    "RepeatStep",
    "WhatIsLoose",
    "WhatSize",
    "WhatNext",
    "SnagOver",
    "WhatDoINeed",
    "Hold",
    "TorqueOf",
    "GoBack",
    "Undo",
    "SkipStep",
    "TimeCheck",
    "LeftOnThisSide",
    "WhereAmI",
    "SayMore",
)
"""The commands that are said most, those that answer something first."""
_WHERE_TIGHTENED = {"MarkDone": "RepeatStep", "RepeatTorque": "LeftOnThisSide"}
"""Said at every step, but likely where something is tightened; elsewhere as likely as the other."""
_SAID_IN: dict[Slot, str] = {"digits": "and the digits", "count": "and how many", "minutes": "and how many"}


def sayable(table: PhraseTable, now: Set[Situation], state: JobState | None) -> tuple[str, ...]:
    """The likeliest phrases that count in the situations of now, one for each command, with no open place in them."""
    patterns = [pattern for pattern in table.patterns if pattern.main and pattern.situations & now]
    later = dict(_WHERE_TIGHTENED) if "tightening" not in now else {}
    if state is None or state.step.establishes is None:
        later["ConditionHolds"] = "LeftOnThisSide"
    ordered = sorted(patterns, key=lambda pattern: _rank(later.get(pattern.command, pattern.command)))
    phrases: dict[str, str] = {}
    for pattern in ordered:
        said = _filled(pattern, table)
        if said is not None:
            phrases.setdefault(pattern.command, said)
    return tuple(phrases.values())[:PHRASES_NAMED]


def _rank(command: str) -> int:
    return _LIKELIEST.index(command) if command in _LIKELIEST else len(_LIKELIEST)


def _filled(pattern: Pattern, table: PhraseTable) -> str | None:
    """The phrase with an example in each open place; None where there is no name to put there."""
    parts = list(_parts(pattern, table))
    return None if "" in parts else " ".join(parts)


def _parts(pattern: Pattern, table: PhraseTable) -> Iterator[str]:
    name = next(iter(table.names_for(pattern)), "")
    words = {slot: words[0] for slot, words in WORDS.items()}
    slots = {f"{{{slot}}}": name if slot == "name" else {**_SAID_IN, **words}[slot] for slot in pattern.slots}
    yield from (slots.get(part, part) for part in pattern.parts)


def typeable(now: Set[Situation]) -> frozenset[Situation]:
    """What may be typed: everything, for nobody mishears a typed line; a wrong one is refused with its reason."""
    opening: frozenset[Situation] = frozenset({"opening"})
    return opening if opening & now else frozenset(SITUATIONS) - opening
