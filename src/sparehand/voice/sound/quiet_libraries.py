"""Keeps what the sound libraries print by themselves off the screen that is being painted."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path


@contextmanager
def quiet_libraries() -> Iterator[None]:
    """Libraries written in C find nothing to print to; Python's own errors go where they went before."""
    try:
        errors = sys.stderr.fileno()
    except (OSError, ValueError, AttributeError):
        yield  # nothing that a library could print to either
        return
    sys.stderr.flush()
    kept = os.dup(errors)
    before = sys.stderr
    try:
        with Path(os.devnull).open("w") as nowhere, os.fdopen(os.dup(kept), "w", buffering=1) as sys.stderr:
            os.dup2(nowhere.fileno(), errors)
            yield
    finally:
        sys.stderr = before
        os.dup2(kept, errors)
        os.close(kept)
