"""Who may see the page: on a network address only a device that was told the code on the terminal."""

from __future__ import annotations

import secrets
import threading
import time
from collections.abc import Callable, Hashable

_DIGITS = 8
FREE_TRIES = 4
"""Wrong codes of one address that cost no wait."""
LONGEST_WAIT_SECONDS = 60.0
SECONDS_BETWEEN_WRONG = 0.5
"""Between the wrong codes of all addresses together. At two a second, one of 10^8 codes is found in 290 days on
average, and whoever has the right one waits half a second at most."""
_ADDRESSES_REMEMBERED = 1_000


class TooSoonError(Exception):
    """After wrong codes another one is not looked at yet."""

    def __init__(self, seconds: float) -> None:
        super().__init__(f"wait {max(1, round(seconds))} s, then type the code on the terminal")


class Pairing:
    """One code for one device. Wrong codes make the next try wait, an address for its own and a little for others'."""

    def __init__(self, needed: bool, steady_seconds: Callable[[], float] = time.monotonic) -> None:
        self._needed = needed
        self._code = f"{secrets.randbelow(10**_DIGITS):0{_DIGITS}}" if needed else ""
        self._steady_seconds = steady_seconds
        self._tokens: set[str] = set()
        self._wrong: dict[Hashable, int] = {}
        self._not_before: dict[Hashable, float] = {}
        self._lock = threading.Lock()

    @property
    def code(self) -> str:
        """The code that still waits for its device; empty where there is none."""
        return self._code

    def pair(self, code: str, address: Hashable = "") -> str | None:
        """A token for the device that knows the code, which is used up by that; None for a wrong one.

        Raises TooSoonError where `address` has to wait after wrong ones.
        """
        with self._lock:
            self._require_time(address)
            if self._code and secrets.compare_digest(code.encode(), self._code.encode()):
                self._code = ""
                token = secrets.token_urlsafe(32)
                self._tokens.add(token)
                return token
            self._slow_down(address)
            return None

    def admits(self, token: str) -> bool:
        """Whether a device with this token may see the page."""
        return not self._needed or any(secrets.compare_digest(token.encode(), each.encode()) for each in self._tokens)

    def _require_time(self, address: Hashable) -> None:
        wait = max(self._not_before.get(whose, 0.0) for whose in (address, None)) - self._steady_seconds()
        if wait > 0:
            raise TooSoonError(wait)

    def _slow_down(self, address: Hashable) -> None:
        now = self._steady_seconds()
        wrong = self._wrong[address] = self._wrong.pop(address, 0) + 1
        if wrong > FREE_TRIES:
            self._not_before[address] = now + min(LONGEST_WAIT_SECONDS, 2.0 ** (wrong - FREE_TRIES))
        self._not_before[None] = now + SECONDS_BETWEEN_WRONG
        if len(self._wrong) > _ADDRESSES_REMEMBERED:
            forgotten = next(iter(self._wrong))
            del self._wrong[forgotten]
            self._not_before.pop(forgotten, None)
