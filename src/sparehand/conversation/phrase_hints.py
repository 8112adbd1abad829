"""What can be said at a moment: a few phrases to name, and all that may be typed."""

from __future__ import annotations

from collections.abc import Set

from sparehand.job.situation import SITUATIONS, Situation
from sparehand.voice.phrases.phrase_table import PhraseTable

PHRASES_NAMED = 8
_MAIN: frozenset[Situation] = frozenset({"working", "hold"})


def sayable(table: PhraseTable, now: Set[Situation]) -> tuple[str, ...]:
    """A few phrases that count in the situations of now, those of the present step first."""
    special = now - _MAIN
    main = [pattern for pattern in table.patterns if pattern.main and pattern.situations & now]
    ordered = sorted(main, key=lambda pattern: not pattern.situations & special)
    return tuple(pattern.phrase for pattern in ordered[:PHRASES_NAMED])


def typeable(now: Set[Situation]) -> frozenset[Situation]:
    """What may be typed: everything, for nobody mishears a typed line; a wrong one is refused with its reason."""
    opening: frozenset[Situation] = frozenset({"opening"})
    return opening if opening & now else frozenset(SITUATIONS) - opening
