"""How a line of the screen is handed to the voice: sentence by sentence, with the pauses that make numbers clear."""

from __future__ import annotations

import re

_DIGIT = "(?:zero|one|two|three|four|five|six|seven|eight|nine|decimal)"
_RUN = re.compile(rf"\b{_DIGIT}(?: {_DIGIT})+\b", re.IGNORECASE)
_SENTENCE_END = re.compile(r"(?<=[.!?])\s+(?=[A-Z])")
_CONTROL = re.compile(r"[\x00-\x1f\x7f]+")


def sentences(text: str) -> tuple[str, ...]:
    """The sentences of `text`, so that the first can sound while the next is made."""
    return tuple(_SENTENCE_END.split(text.strip()))


def for_the_voice(text: str) -> str:
    """`text` with a comma, which voices speak as a short gap, between digits that follow each other."""
    plain = _CONTROL.sub(" ", text).strip()
    return _RUN.sub(lambda run: run.group().replace(" ", ", "), plain)
