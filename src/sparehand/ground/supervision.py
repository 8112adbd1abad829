"""Threads that do not die alone: what one raises is told, and it begins again."""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator

FIRST_WAIT_SECONDS = 0.5
LONGEST_WAIT_SECONDS = 30.0


def growing_waits(first: float = FIRST_WAIT_SECONDS, longest: float = LONGEST_WAIT_SECONDS) -> Iterator[float]:
    """Seconds to wait before each new try, without end: every one twice the last."""
    while True:
        yield min(first, longest)
        first *= 2


def supervised(
    name: str,
    work: Callable[[], None],
    tell: Callable[[str], None],
    wait: Callable[[float], object] | None = None,
) -> threading.Thread:
    """A started daemon thread that runs `work` until it returns.

    Whatever `work` raises is told in one line that begins with `name`, and after a wait that grows it is run again.
    `wait` is called with its seconds.
    """
    pause = wait or threading.Event().wait

    def run() -> None:
        for seconds in growing_waits():
            try:
                work()
            except Exception as error:  # noqa: BLE001 - a thread outlives whatever its work raises, and tells it
                tell(f"{name} failed and is started again ({type(error).__name__}: {error})")
                pause(seconds)
            else:
                return

    thread = threading.Thread(target=run, name=name, daemon=True)
    thread.start()
    return thread
