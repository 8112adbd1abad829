"""Text from outside made safe for a terminal, which would obey control characters in it."""

from __future__ import annotations


def printable(text: str) -> str:
    """The text with a blank for every character that does not print, line breaks among them."""
    return "".join(sign if sign.isprintable() else " " for sign in text)
