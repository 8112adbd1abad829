"""The whole of a bench's data folder but its models in one archive, and back."""

from __future__ import annotations

import hashlib
import json
import sqlite3
import tempfile
import zipfile
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path, PurePosixPath

from sparehand.ground.errors import FailureError, InputError
from sparehand.log.connection import plain_errors
from sparehand.log.durable import put_durably, write_durably
from sparehand.log.memos import MEMOS_FOLDER
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.wire import canonical

_MANIFEST = "manifest.json"
_FORMAT = "sparehand backup 1"
_KEPT_FILES = ("settings.toml", "renamed-phases.json", "pseudonyms.key")
_BEFORE_THE_LOG = (*_KEPT_FILES, "log.marks", "procedures")
_KEPT_FOLDERS = ("log.marks", "procedures", MEMOS_FOLDER)
LOG_FILE = "log.sqlite"


def backup(folder: Path, target: Path, made_at: datetime) -> int:
    """Put log, memos, settings and installed procedures of a data folder into an archive; gives the number of files.

    A job may go on meanwhile. Raises InputError where there is no log, FailureError where nothing can be written.
    """
    if not (folder / LOG_FILE).is_file():
        raise InputError(f"{folder} holds no log to back up")
    half = target.with_name(target.name + ".part")
    try:
        with tempfile.TemporaryDirectory() as scratch, zipfile.ZipFile(half, "w", zipfile.ZIP_DEFLATED) as archive:
            # Marks before the log: one that lags is sound, one that is ahead tells of a loss. Memos after it: each is
            # there before its event, so that none is told of whose sound is missing.
            hashes = {name: _add(archive, name, path.read_bytes()) for name, path in _files(folder, _BEFORE_THE_LOG)}
            hashes[LOG_FILE] = _add(archive, LOG_FILE, _copy_of_log(folder / LOG_FILE, Path(scratch)))
            hashes |= {name: _add(archive, name, path.read_bytes()) for name, path in _files(folder, (MEMOS_FOLDER,))}
            archive.writestr(_MANIFEST, canonical({"format": _FORMAT, "made_at": made_at.isoformat(), "files": hashes}))
        put_durably(half, target)
    except OSError as error:
        raise FailureError(f"{target} cannot be written ({error.strerror}); choose another place") from error
    finally:
        half.unlink(missing_ok=True)
    return len(hashes)


def restore(archive: Path, folder: Path) -> int:
    """Put the files of a backup into a data folder that has no log; gives their number.

    Everything is checked before the first file is put in place, and the log is put there last.
    Raises InputError for an archive that is none or was changed, and for a folder that has a log.
    """
    if (folder / LOG_FILE).exists() or (folder / "log.marks").exists():
        raise InputError(f"{folder} holds a log already; move it away, or restore into another folder with --data")
    contents = _checked(archive)
    try:
        for name in sorted(contents, key=lambda name: name == LOG_FILE):
            path = folder / PurePosixPath(name)
            path.parent.mkdir(parents=True, exist_ok=True)
            write_durably(path, contents[name])
    except OSError as error:
        raise FailureError(f"{folder} cannot be written ({error.strerror}); choose another one with --data") from error
    SqliteEventStore(folder / LOG_FILE).close()
    return len(contents)


def _files(folder: Path, kept: tuple[str, ...]) -> Iterator[tuple[str, Path]]:
    """The files of that name, or below a folder of that name, and how the archive calls them."""
    for name in kept:
        for path in (folder / name, *sorted((folder / name).rglob("*"))):
            if path.is_file() and path.suffix != ".part":
                yield path.relative_to(folder).as_posix(), path


def _add(archive: zipfile.ZipFile, name: str, content: bytes) -> str:
    archive.writestr(name, content)
    return hashlib.sha256(content).hexdigest()


def _copy_of_log(path: Path, scratch: Path) -> bytes:
    """The log as it stands at one moment, with what is still in its write-ahead file."""
    target = scratch / path.name
    with plain_errors(path):
        source, copy = sqlite3.connect(path), sqlite3.connect(target)
        try:
            source.backup(copy)
        finally:
            source.close()
            copy.close()
    return target.read_bytes()


def _checked(path: Path) -> dict[str, bytes]:
    try:
        with zipfile.ZipFile(path) as archive:
            manifest = json.loads(archive.read(_MANIFEST))
            if manifest["format"] != _FORMAT:
                raise InputError(f"{path} is a backup of another version ({manifest['format']}); update Sparehand")
            contents = {name: archive.read(name) for name in manifest["files"]}
    except OSError as error:
        raise InputError(
            f"{path} cannot be read ({error.strerror}); give a file from `sparehand log backup`"
        ) from error
    except (zipfile.BadZipFile, KeyError, TypeError, ValueError, EOFError, NotImplementedError) as error:
        raise InputError(f"{path} is no whole backup of Sparehand; give a file from `sparehand log backup`") from error
    for name, content in contents.items():
        if hashlib.sha256(content).hexdigest() != manifest["files"][name] or not _belongs(name):
            raise InputError(f"{path} was changed or damaged at '{name}'; give another backup")
    return contents


def _belongs(name: str) -> bool:
    parts = PurePosixPath(name).parts
    return name in (LOG_FILE, *_KEPT_FILES) or (
        len(parts) > 1 and parts[0] in _KEPT_FOLDERS and ".." not in parts and "\\" not in name
    )
