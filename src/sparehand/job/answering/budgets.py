"""How many words an answer may take, by topic, and what becomes of the rest."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace

from sparehand.job.answer import Line, numbered
from sparehand.job.decision import Topic

LIST_ENTRIES, TERSE_ENTRIES = 3, 2
"""How many entries of a list are read before somebody says more."""

OFFER_WORDS = 5
"""What the offer to say more takes of a budget."""

ACKNOWLEDGEMENT, STEP, LISTED, RESUME, CLOSE, REFUSAL = 4, 20, 30, 30, 25, 14

_ACKNOWLEDGED: tuple[Topic, ...] = (
    "hold",
    "snag",
    "snag over",
    "timer stopped",
    "unit",
    "gap",
    "not listening",
    "voice off",
    "voice on",
    "second check",
    "old part kept",
    "note kept",
    "quiet",
    "nothing",
)
_LISTS: tuple[Topic, ...] = (
    "loose",
    "skipped",
    "parts",
    "size",
    "kit",
    "help",
    "more",
    "left on side",
    "tools",
    "tightened here",
    "crew",
    "timer",
    "timers",
)

BUDGETS: Mapping[Topic, int] = {
    **dict.fromkeys(_ACKNOWLEDGED, ACKNOWLEDGEMENT),
    **dict.fromkeys(_LISTS, LISTED),
    "where": RESUME,
    "closed": CLOSE,
    "parked": CLOSE,
    "handed over": CLOSE,
    "time": CLOSE,
    "wrench": CLOSE,
}
"""Words by topic beyond what is said whole; a topic that is not named has the budget of a step."""


def budget(topic: Topic) -> int:
    """The words that an answer about `topic` may take, sentences of the file and warnings apart."""
    return BUDGETS.get(topic, STEP)


def words_in(line: Line) -> int:
    """How many words are spoken of a line."""
    return len(line.spoken.split())


def within(lines: Iterable[Line], words: int, *, tersely: bool = False) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
    """The lines with what is spoken now, and what is left for "say more"; all of it is shown.

    What is kept whole is always spoken, and so is the first line of what is not. Terse
    overviews have half the words, and terse lists fewer entries.
    """
    found = tuple(lines)
    entries = TERSE_ENTRIES if tersely else LIST_ENTRIES
    words = words // 2 if tersely and words > STEP else words
    said, rest = _split(found, words, entries)
    if sum(map(words_in, rest)) <= OFFER_WORDS:
        return found, ()
    if rest:
        said, rest = _split(found, words - OFFER_WORDS, entries)
    return (*said, *_offer(rest)), rest


def _split(lines: tuple[Line, ...], words: int, entries: int) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
    """As much as fits into `words`, with the rest unspoken; and that rest."""
    said: list[Line] = []
    rest: list[Line] = []
    begun = False
    for line in lines:
        counts = bool(line.spoken) and not line.whole
        over = bool(rest) or words_in(line) > words or line.entries > entries
        if counts and over and begun:
            rest.append(line)
            said.append(replace(line, spoken=""))
            continue
        if counts:
            begun, words, entries = True, words - words_in(line), entries - line.entries
        said.append(line)
    return tuple(said), tuple(rest)


def _offer(rest: tuple[Line, ...]) -> tuple[Line, ...]:
    """How much more there is, and how to hear it."""
    if not rest:
        return ()
    count = sum(line.entries for line in rest)
    offer = numbered("{count} more, say more.", count=count).spoken if count else "Say more for the rest."
    return (Line(offer[:1].upper() + offer[1:], ""),)
