"""Standard streams that are closed or full, which a command meets as anything else it meets: in one line."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from io import TextIOWrapper
from pathlib import Path

_FULL = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG, errno.EIO)


@contextmanager
def standard_streams() -> Iterator[None]:
    """Inside, a closed input is an empty one, bytes that are no text are replaced, and closed outputs take everything.

    Raises SystemExit, with one line on the error stream, where the output cannot be written.
    """
    # They stay open until the process ends, as those they stand in for.
    sys.stdin = sys.stdin or Path(os.devnull).open()  # noqa: SIM115
    sys.stdout = sys.stdout or Path(os.devnull).open("w")  # noqa: SIM115
    sys.stderr = sys.stderr or Path(os.devnull).open("w")  # noqa: SIM115
    if isinstance(sys.stdin, TextIOWrapper):
        # Before the first line is asked for: a stream that was read from takes no other way of decoding.
        sys.stdin.reconfigure(errors="replace")
    try:
        try:
            yield
        finally:
            sys.stdout.flush()
    except OSError as error:
        if error.filename is not None or error.errno not in _FULL:
            raise
        sys.stderr.write(f"sparehand: the output cannot be written ({error.strerror}); send it elsewhere\n")
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)
        raise SystemExit(1) from error
