"""A bench that is stopped at the terminal (Ctrl-Z) leaves the terminal as it was, and takes it up again after `fg`."""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TextIO


@contextmanager
def suspendable(stream: TextIO | None, leave_screen: Callable[[], None]) -> Iterator[None]:
    """Inside, the stop signal first calls `leave_screen` and gives the terminal of `stream` back."""
    by_signal = sys.platform != "win32" and threading.current_thread() is threading.main_thread()
    if not by_signal or stream is None or not stream.isatty():
        yield
        return
    import termios

    number = stream.fileno()
    before = termios.tcgetattr(number)

    def stop(*_: object) -> None:
        leave_screen()
        at_work = termios.tcgetattr(number)
        termios.tcsetattr(number, termios.TCSADRAIN, before)
        signal.signal(signal.SIGTSTP, signal.SIG_DFL)
        os.kill(os.getpid(), signal.SIGTSTP)
        # It stands here until somebody continues it.
        signal.signal(signal.SIGTSTP, stop)
        termios.tcsetattr(number, termios.TCSADRAIN, at_work)

    old = signal.signal(signal.SIGTSTP, stop)
    try:
        yield
    finally:
        signal.signal(signal.SIGTSTP, old)
