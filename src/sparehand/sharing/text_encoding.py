"""Names as the shared database keeps them: PostgreSQL has no place for the character zero in a text."""

from __future__ import annotations

import re

_ESCAPED = re.compile(r"\\(.)", re.DOTALL)


def written_name(name: str) -> str:
    r"""What is kept for a name: backslash and zero behind a backslash, as `\\` and `\0`."""
    return name.replace("\\", "\\\\").replace("\0", "\\0")


def read_name(kept: str) -> str:
    """The name that was kept."""
    return _ESCAPED.sub(lambda found: "\0" if found[1] == "0" else found[1], kept)
