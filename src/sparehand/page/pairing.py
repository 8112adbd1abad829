"""Who may see the page: on a network address only a device that was told the code on the terminal."""

from __future__ import annotations

import secrets
import threading

WRONG_CODES_BEFORE_SHUT = 5
_DIGITS = 8


class Pairing:
    """One code for one device; too many wrong ones shut the door until the bench is started again."""

    def __init__(self, needed: bool) -> None:
        self._needed = needed
        self._code = f"{secrets.randbelow(10**_DIGITS):0{_DIGITS}}" if needed else ""
        self._tokens: set[str] = set()
        self._wrong = 0
        self._lock = threading.Lock()

    @property
    def code(self) -> str:
        """The code that still waits for its device; empty where there is none."""
        return self._code

    def pair(self, code: str) -> str | None:
        """A token for the device that knows the code, which is used up by that; None for a wrong one."""
        with self._lock:
            if self._code and secrets.compare_digest(code.encode(), self._code.encode()):
                self._code = ""
                token = secrets.token_urlsafe(32)
                self._tokens.add(token)
                return token
            self._wrong += 1
            if self._wrong >= WRONG_CODES_BEFORE_SHUT:
                self._code = ""
            return None

    def admits(self, token: str) -> bool:
        """Whether a device with this token may see the page."""
        return not self._needed or any(secrets.compare_digest(token.encode(), each.encode()) for each in self._tokens)
