"""The whole of a bench's data folder but its models in one archive, and back."""

from __future__ import annotations

import hashlib
import shutil
import sqlite3
import tempfile
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import closing, suppress
from datetime import datetime
from pathlib import Path, PurePosixPath
from typing import IO, cast

from sparehand.ground.bounds import read_json
from sparehand.ground.errors import FailureError, InputError
from sparehand.log.connection import plain_errors
from sparehand.log.durable import open_for_owner, put_durably
from sparehand.log.memos import MEMOS_FOLDER
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.wire import canonical

_MANIFEST = "manifest.json"
_FORMAT = "sparehand backup 1"
_KEPT_FILES = ("settings.toml", "renamed-phases.json", "pseudonyms.key", "talkers.json")
_BEFORE_THE_LOG = (*_KEPT_FILES, "log.marks", "procedures")
_KEPT_FOLDERS = ("log.marks", "procedures", MEMOS_FOLDER)
LOG_FILE = "log.sqlite"
_PIECE_BYTES = 1 << 20
_MANIFEST_BYTES = 50_000_000
_SMALL_BYTES = 10_000_000
_MOST_PACKED = 500
"""Logs and recordings are packed to a tenth and more of their size, empty pages further; beyond, it fills a disk."""
_ENCRYPTED = 1
_NO_BACKUP = (zipfile.BadZipFile, zlib.error, KeyError, TypeError, ValueError, AttributeError, EOFError, RuntimeError)
"""What reading an archive may raise that is none, or damaged; NotImplementedError is a RuntimeError."""


def backup(folder: Path, target: Path, made_at: datetime) -> int:
    """Put log, memos, settings and installed procedures of a data folder into an archive; gives the number of files.

    A job may go on meanwhile. Raises InputError where there is no log, FailureError where nothing can be written.
    """
    with plain_errors(folder / LOG_FILE):
        if not (folder / LOG_FILE).is_file():
            raise InputError(f"{folder} holds no log to back up")
    if not target.name:
        raise InputError(f"{target} is no name of a file; name one that ends with .zip")
    half = target.with_name(target.name + ".part")
    try:
        with tempfile.TemporaryDirectory() as scratch, zipfile.ZipFile(half, "w", zipfile.ZIP_DEFLATED) as archive:
            # Marks before the log: one that lags is sound, one that is ahead tells of a loss. Memos after it: each is
            # there before its event, so that none is told of whose sound is missing.
            hashes = {name: _add(archive, name, path) for name, path in _files(folder, _BEFORE_THE_LOG)}
            hashes[LOG_FILE] = _add(archive, LOG_FILE, _copy_of_log(folder / LOG_FILE, Path(scratch)))
            hashes |= {name: _add(archive, name, path) for name, path in _files(folder, (MEMOS_FOLDER,))}
            told = {"format": _FORMAT, "made_at": made_at.isoformat(), "files": hashes}
            archive.writestr(_MANIFEST, canonical(told | {"seal": _seal(told)}))
        put_durably(half, target)
    except OSError as error:
        raise FailureError(f"{target} cannot be written ({error.strerror}); choose another place") from error
    finally:
        with suppress(OSError):
            half.unlink(missing_ok=True)
    return len(hashes)


def restore(archive: Path, folder: Path) -> int:
    """Put the files of a backup into a data folder that has no log; gives their number.

    Everything is unpacked beside the folder and checked before the first file is put in place, and the log is put
    there last. Raises InputError for an archive that is none or was changed, and for a folder that has a log.
    """
    with plain_errors(folder / LOG_FILE):
        if (folder / LOG_FILE).exists() or (folder / "log.marks").exists():
            raise InputError(f"{folder} holds a log already; move it away, or restore into another folder with --data")
    try:
        above = next(path for path in folder.absolute().parents if path.is_dir())
        with tempfile.TemporaryDirectory(prefix=".restoring-", dir=above) as scratch:
            names = _unpacked(archive, Path(scratch))
            for place, name in sorted(enumerate(names), key=lambda each: each[1] == LOG_FILE):
                path = folder / PurePosixPath(name)
                path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
                put_durably(Path(scratch) / str(place), path)
    except OSError as error:
        raise FailureError(f"{folder} cannot be written ({error.strerror}); choose another one with --data") from error
    SqliteEventStore(folder / LOG_FILE).close()
    return len(names)


def _files(folder: Path, kept: tuple[str, ...]) -> Iterator[tuple[str, Path]]:
    """The files of that name, or below a folder of that name, and how the archive calls them."""
    for name in kept:
        for path in (folder / name, *sorted((folder / name).rglob("*"))):
            if path.is_file() and path.suffix != ".part":
                yield path.relative_to(folder).as_posix(), path


def _add(archive: zipfile.ZipFile, name: str, path: Path) -> str:
    with path.open("rb") as source, archive.open(name, "w", force_zip64=True) as target:
        return _copied(source, target)


def _copied(source: IO[bytes], target: IO[bytes]) -> str:
    """The hash of what was copied, piece by piece."""
    hashed = hashlib.sha256()
    while piece := source.read(_PIECE_BYTES):
        hashed.update(piece)
        target.write(piece)
    return hashed.hexdigest()


def _seal(told: Mapping[str, object]) -> str:
    """SHA-256 (FIPS 180-4) over what a manifest tells, against damage; who wants to deceive makes a new one."""
    return hashlib.sha256(canonical(told).encode()).hexdigest()


def _copy_of_log(path: Path, scratch: Path) -> Path:
    """The log as it stands at one moment, with what is still in its write-ahead file."""
    target = scratch / path.name
    with plain_errors(path):
        store = SqliteEventStore(path, read_only=True)
        copy = sqlite3.connect(target)
        try:
            with closing(store.engine.raw_connection()) as source:
                cast(sqlite3.Connection, source.driver_connection).backup(copy)
        finally:
            copy.close()
            store.close()
    return target


def _unpacked(path: Path, scratch: Path) -> tuple[str, ...]:
    """Unpack an archive into files 0, 1, 2 … of `scratch`; gives the names that they have in it, in that order."""
    try:
        if path.exists() and not (path.is_file() or path.is_dir()):
            raise zipfile.BadZipFile("a device may have no end")
        with zipfile.ZipFile(path) as archive:
            hashes = _manifest(path, archive)
            if sum(_entry(archive, name).file_size for name in hashes) > shutil.disk_usage(scratch).free:
                raise InputError(f"{path} needs more room than {scratch.parent} has; choose another disk with --data")
            for place, (name, expected) in enumerate(hashes.items()):
                unpacked = open(scratch / str(place), "wb", opener=open_for_owner)  # noqa: SIM115 closed by the next line
                with archive.open(_entry(archive, name)) as source, unpacked as target:
                    if not _belongs(name) or _copied(source, target) != expected:
                        raise InputError(f"{path} was changed or damaged at {name!r}; give another backup")
    except OSError as error:
        if error.filename not in (None, str(path)):
            raise
        raise InputError(
            f"{path} cannot be read ({error.strerror}); give a file from `sparehand log backup`"
        ) from error
    except _NO_BACKUP as error:
        raise InputError(f"{path} is no whole backup of Sparehand; give a file from `sparehand log backup`") from error
    return tuple(hashes)


def _manifest(path: Path, archive: zipfile.ZipFile) -> dict[str, str]:
    """The files that an archive holds, by name, with their hashes."""
    entry = _entry(archive, _MANIFEST)
    if entry.file_size > _MANIFEST_BYTES:
        raise zipfile.BadZipFile("a manifest of that size is none")
    told = read_json(archive.read(entry).decode(), _MANIFEST_BYTES)
    if told["format"] != _FORMAT:
        raise InputError(f"{path} is a backup of another version ({str(told['format'])[:40]}); update Sparehand")
    # Versions before the seal wrote none.
    if told.pop("seal", None) not in (None, _seal(told)):
        raise InputError(f"{path} was changed or damaged in its manifest; give another backup")
    hashes: dict[str, str] = told["files"]
    if LOG_FILE not in hashes:
        raise zipfile.BadZipFile("no log is in it")
    return hashes


def _entry(archive: zipfile.ZipFile, name: str) -> zipfile.ZipInfo:
    """An entry that a backup may have: packed as we pack, and not to an extent that no log has."""
    entry = archive.getinfo(name)
    packed = entry.compress_type in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) and not entry.flag_bits & _ENCRYPTED
    if not packed or entry.file_size > max(_SMALL_BYTES, _MOST_PACKED * entry.compress_size):
        raise zipfile.BadZipFile(f"{name} is not packed as a backup is")
    return entry


def _belongs(name: str) -> bool:
    parts = PurePosixPath(name).parts
    return name in (LOG_FILE, *_KEPT_FILES) or (
        len(parts) > 1 and parts[0] in _KEPT_FOLDERS and ".." not in parts and "\\" not in name
    )
