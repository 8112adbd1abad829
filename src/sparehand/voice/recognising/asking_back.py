"""What is asked back ("Did you say ...?") before it counts, and how sure it must be where it is not."""

from __future__ import annotations

from sparehand.job.commands import ASKING
from sparehand.voice.phrases.phrase_table import Pattern
from sparehand.voice.recognising.rejection import AmongTalk, Listening, Sensitivity

SAID_IN_HASTE = frozenset({"Refuse", "Quiet", "StopListening"})
FROM_ANYBODY = frozenset({"Hold", "Quiet", "StopListening"})
"""What counts by its main wording in the middle of a conversation, too, for it only stops something."""
NEVER_ASKED_BACK = SAID_IN_HASTE | {"Confirm"}
"""Commands that only stop something, or are an answer themselves; digits are read back anyhow."""


def among_talk(pattern: Pattern | None, sensitivity: Sensitivity) -> AmongTalk:
    """Whether a phrase counts while people talk to each other; what is asked back anyhow does."""
    if pattern is not None and sensitivity.never_sure and _can_be_asked_back(pattern):
        return "always"
    if pattern is None or not pattern.among_talk:
        return "refused"
    return "always" if pattern.main and pattern.command in FROM_ANYBODY else "if sure"


def least_unasked(pattern: Pattern, sensitivity: Sensitivity) -> float:
    """What an answer and a phrase said in haste must have, since they change something and are not asked back."""
    if pattern.command == "Confirm":
        return sensitivity.sure_confidence
    return sensitivity.least_confidence_in_conversation if pattern.command in SAID_IN_HASTE else 0.0


def asks_back(pattern: Pattern, confidence: float, sensitivity: Sensitivity, listening: Listening) -> bool:
    """Whether it is too doubtful to act at once. What lasts is asked back whenever nobody called or held a key.

    Who called or held a key means the bench: then only what lasts or decides is asked back, where it is not sure.
    """
    if not _can_be_asked_back(pattern):
        return False
    if pattern.command in ASKING:
        return confidence < sensitivity.answered_confidence
    if listening != "always":
        return (pattern.lasting or pattern.decides) and confidence < sensitivity.sure_confidence
    least = sensitivity.deciding_confidence if pattern.decides else sensitivity.sure_confidence
    return pattern.lasting or confidence < least


def _can_be_asked_back(pattern: Pattern) -> bool:
    return pattern.command not in NEVER_ASKED_BACK and "digits" not in pattern.slots
