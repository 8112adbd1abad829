"""Keeps a library that works with OpenMP from sharing small work among threads that mostly wait for each other."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager

_LIMIT = "OMP_THREAD_LIMIT"


@contextmanager
def one_thread() -> Iterator[None]:
    """What is imported inside works on one thread from then on: OpenMP reads its limit when it is loaded.

    The voice activity model asks for four threads for less than a millisecond of work; waiting for them cost 15 times
    as much as the work. What was set before stays as it was for everything else.
    """
    before = os.environ.get(_LIMIT)
    os.environ[_LIMIT] = "1"
    try:
        yield
    finally:
        if before is None:
            del os.environ[_LIMIT]
        else:
            os.environ[_LIMIT] = before
