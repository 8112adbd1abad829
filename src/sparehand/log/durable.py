"""Writing so that it is on the disk, and not only on its way there."""

from __future__ import annotations

import os
import sys
from contextlib import suppress
from pathlib import Path


def sync(descriptor: int) -> None:
    """Return when what was written to the open file is on the disk."""
    if sys.platform == "darwin":
        import fcntl

        fcntl.fcntl(descriptor, fcntl.F_FULLFSYNC)
    else:
        os.fsync(descriptor)


def sync_folder(folder: Path) -> None:
    """Return when the names in a folder are on the disk. Windows does this by itself."""
    if sys.platform == "win32":
        return
    descriptor = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(descriptor)
    finally:
        os.close(descriptor)


def write_durably(path: Path, content: bytes) -> None:
    """Put `content` into a new file, or in place of an old one: whole and on the disk, or not at all.

    The file is for its owner alone.
    """
    half = path.with_name(path.name + ".part")
    try:
        with open(half, "wb", opener=open_for_owner) as file:
            file.write(content)
        put_durably(half, path)
    except OSError:
        with suppress(OSError):
            half.unlink(missing_ok=True)
        raise


def open_for_owner(path: str | Path, flags: int) -> int:
    """A descriptor of the file at `path`, as `open` wants it of an opener; where it is made, for its owner alone."""
    return os.open(path, flags | getattr(os, "O_BINARY", 0), 0o600)


def put_durably(half: Path, path: Path) -> None:
    """Give a file that was written its name, in place of an old one, once all of it is on the disk."""
    with half.open("rb+") as file:
        sync(file.fileno())
    half.replace(path)
    sync_folder(path.parent)
