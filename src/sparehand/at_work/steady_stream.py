"""A terminal or a file that fails while a job is shown on it stops nothing."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TextIO


class SteadyStream:
    """`stream`, whose failures are told once in words and otherwise ignored, until it takes something again."""

    def __init__(self, stream: TextIO, tell: Callable[[str], None]) -> None:
        self._stream = stream
        self._tell = tell
        self._well = True

    def write(self, text: str) -> int:
        """Write what can be written."""
        self._try(lambda: self._stream.write(text))
        return len(text)

    def flush(self) -> None:
        """Send what was written."""
        self._try(self._stream.flush)

    def _try(self, do: Callable[[], object]) -> None:
        try:
            do()
            self._well = True
        except (OSError, ValueError) as error:
            if self._well:
                self._tell(f"the screen cannot be written ({error})")
            self._well = False

    def __getattr__(self, name: str) -> Any:
        return getattr(self._stream, name)
