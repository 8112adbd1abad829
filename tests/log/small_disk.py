"""A real file system of a few KiB, which a test can fill."""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import needs


@contextmanager
def small_disk_at(folder: Path, size: str) -> Iterator[Path]:
    """The file system mounted at `folder`, of a `size` as mount takes it ("256k"); the test is skipped without root."""
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", f"size={size}", "none", str(folder)]
    mounted = shutil.which("mount") is not None and subprocess.run(mount, capture_output=True).returncode == 0
    needs.skip_unless(mounted, "a small disk can be mounted by root only")
    try:
        yield folder
    finally:
        subprocess.run(["umount", folder], check=True)
