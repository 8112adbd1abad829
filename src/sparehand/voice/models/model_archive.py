"""Unpacking a model's archive into a folder, and nowhere else."""

from __future__ import annotations

import shutil
import stat
import zipfile
import zlib
from collections.abc import Iterator
from hashlib import file_digest
from pathlib import Path, PurePosixPath

from sparehand.ground.errors import InputError
from sparehand.voice.models.model_catalogue import Archive

MOST_UNPACKED_BYTES = 500_000_000
"""What a small model can come to; more is an archive that was made to fill the disk."""


def sha256_of(path: Path) -> str:
    """The SHA-256 of a file, in hexadecimal digits."""
    with path.open("rb") as file:
        return file_digest(file, "sha256").hexdigest()


def matching_archive(path: Path, archives: tuple[Archive, ...]) -> Archive:
    """The published archive that `path` is, by size and hash. Raises InputError where it is none of them."""
    size = path.stat().st_size
    known = [archive for archive in archives if archive.bytes == size]
    found = next((archive for archive in known if archive.sha256 == sha256_of(path)), None)
    if found:
        return found
    names = " or ".join(f"{archive.file} ({archive.bytes:,} bytes)" for archive in archives)
    what = "has the right size but another hash: it is damaged" if known else f"has {size:,} bytes"
    raise InputError(f"{path}: {what}; it must be {names} as published; copy it again")


def unpack(path: Path, folder_inside: str, target: Path) -> None:
    """Unpack what lies under `folder_inside` in the archive into the empty folder `target`.

    Raises InputError for an archive that is damaged, that names a path outside `target`, that holds links, or that
    unpacks to more than MOST_UNPACKED_BYTES.
    """
    try:
        with zipfile.ZipFile(path) as archive:
            entries = list(_entries(path, archive, PurePosixPath(folder_inside)))
            if not entries:
                raise InputError(f"{path}: there is no folder {folder_inside} in it; it is not the model's archive")
            for entry, inside in entries:
                file = target / inside
                file.parent.mkdir(parents=True, exist_ok=True)
                with archive.open(entry) as packed, file.open("xb") as unpacked:
                    shutil.copyfileobj(packed, unpacked)
    except (zipfile.BadZipFile, zlib.error, EOFError, NotImplementedError, RuntimeError, FileExistsError) as error:
        raise InputError(f"{path}: the archive is damaged ({error}); copy or fetch it again") from error


def _entries(
    path: Path, archive: zipfile.ZipFile, folder: PurePosixPath
) -> Iterator[tuple[zipfile.ZipInfo, PurePosixPath]]:
    total = 0
    for entry in archive.infolist():
        name = PurePosixPath(entry.filename.replace("\\", "/"))
        if name.is_absolute() or ".." in name.parts or ":" in entry.filename:
            raise InputError(f"{path}: it names the path {entry.filename!r}, which leaves its folder; do not use it")
        if stat.S_ISLNK(entry.external_attr >> 16):
            raise InputError(f"{path}: it holds the link {entry.filename!r}, which may leave its folder; do not use it")
        total += entry.file_size
        if total > MOST_UNPACKED_BYTES:
            raise InputError(f"{path}: it unpacks to over {MOST_UNPACKED_BYTES:,} bytes; it is not a small model")
        if not entry.is_dir() and name.is_relative_to(folder):
            yield entry, name.relative_to(folder)
