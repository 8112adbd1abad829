"""One process a job and a bench: locks of the operating system, which fall with the process, however it ends."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import quote

from sparehand.ground.errors import FailureError

_LOCK_OFFSET = 1 << 20
"""Far behind the holder's process number, which stays readable where a lock forbids reading."""

_held_here: set[Path] = set()
"""Such a lock tells processes apart, not two claims of one process."""


@contextmanager
def claim(folder: Path, name: str, otherwise: str) -> Iterator[None]:
    """Hold the lock `name` in `folder` while the context lasts; it falls with the process.

    Raises FailureError, beginning with the words `otherwise`, where it is held already.
    """
    with _held(folder / f"{quote(name, safe='')}.claim", otherwise):
        yield


@contextmanager
def _held(path: Path, otherwise: str) -> Iterator[None]:
    path = path.resolve()
    # Before the file is opened: closing it again would give up the lock that this process holds on it.
    if path in _held_here:
        raise FailureError(f"{otherwise} (process {os.getpid()}); go on there, or end that first")
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        descriptor = os.open(path, os.O_RDWR | os.O_CREAT, 0o600)
    except OSError as error:
        raise FailureError(f"{path} cannot be written ({error.strerror}); mend its permissions or free room") from error
    try:
        if not _lock(descriptor):
            raise FailureError(f"{otherwise} ({_holder(path)}); go on there, or end that first")
        _held_here.add(path)
        try:
            os.ftruncate(descriptor, 0)
            os.write(descriptor, str(os.getpid()).encode())
            yield
        finally:
            _held_here.discard(path)
    finally:
        os.close(descriptor)


def _holder(path: Path) -> str:
    number = path.read_text().strip()
    return f"process {number}" if number else "process unknown"


if sys.platform == "win32":
    import msvcrt

    def _lock(descriptor: int) -> bool:
        os.lseek(descriptor, _LOCK_OFFSET, os.SEEK_SET)
        try:
            msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        os.lseek(descriptor, 0, os.SEEK_SET)
        return True

else:
    import fcntl

    def _lock(descriptor: int) -> bool:
        # A record lock and not a whole-file one: a forked speech worker that outlives a killed bench must not keep it.
        try:
            fcntl.lockf(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB, 1, _LOCK_OFFSET)
        except OSError:
            return False
        return True
