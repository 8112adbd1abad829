"""The page's buttons: each is one phrase, as if it were typed at the bench."""

from __future__ import annotations

from collections.abc import Mapping

BUTTONS: Mapping[str, str] = {
    "next": "next",
    "mark done": "mark done",
    "warning understood": "warning understood",
    "repeat": "repeat",
    "undo": "undo that",
    "hold for parts": "hold for parts",
    "hold for a tool": "hold for a tool",
    "hold for approval": "hold for approval",
    "hold for the phone": "hold for the phone",
    "back to work": "back to work",
}
"""The phrase behind each label."""
