"""High-water marks: how far each job was durable, kept apart from the database.

A database that lost its end (a cut file, an old copy put back) is whole in itself; only something beside it can tell.
Each job has a small file with two slots, written in turn, so that a torn write leaves the mark before it.
"""

from __future__ import annotations

import json
import os
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote, unquote

from sparehand.ground.bounds import read_json
from sparehand.log.durable import open_for_owner, sync, sync_folder, write_durably

_SLOT_BYTES = 128
_INTENDED = "intended.json"


@dataclass(frozen=True)
class Mark:
    """The last event known to be durable: its sequence number and its chain hash."""

    sequence: int
    chain: bytes


class Marks:
    """The marks of all jobs, in a folder of their own."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def jobs(self) -> frozenset[str]:
        """Every job that has a mark."""
        if not self._folder.is_dir():
            return frozenset()
        return frozenset(unquote(path.stem) for path in self._folder.glob("*.mark"))

    def read(self, job: str) -> Mark | None:
        """The mark of a job, or None if it has none that can be read.

        While others write, read it before the events it is held against: a mark that lags is sound.
        """
        path = self._path(job)
        if not path.is_file():
            return None
        content = path.read_bytes()
        slots = [_from_slot(content[start : start + _SLOT_BYTES]) for start in (0, _SLOT_BYTES)]
        return max((mark for mark in slots if mark), key=lambda mark: mark.sequence, default=None)

    def write(self, job: str, mark: Mark) -> None:
        """Move the mark of a job; it is on the disk on return. Raises OSError where it cannot be written."""
        path = self._path(job)
        new = not path.exists()
        if new:
            self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        # Each append moves to the other slot, however many events it brought.
        before = None if new else self.read(job)
        slot = 0 if before is None else 1 - self._slot_of(job, before)
        descriptor = open_for_owner(path, os.O_RDWR | os.O_CREAT)
        try:
            if new:
                os.write(descriptor, b" " * (2 * _SLOT_BYTES))
            os.lseek(descriptor, slot * _SLOT_BYTES, os.SEEK_SET)
            os.write(descriptor, _to_slot(mark))
            sync(descriptor)
        finally:
            os.close(descriptor)
        if new:
            sync_folder(self._folder)

    def read_all(self) -> dict[str, Mark | None]:
        """The marks of all jobs; None for one that cannot be read."""
        return {job: self.read(job) for job in self.jobs()}

    def intend(self, marks: Mapping[str, Mark]) -> None:
        """Say, durably, where marks will stand once a commit that follows is there; `replace` or `intended` then."""
        self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        told = {job: [mark.sequence, mark.chain.hex()] for job, mark in marks.items()}
        write_durably(self._folder / _INTENDED, json.dumps(told).encode())

    def intended(self) -> dict[str, Mark] | None:
        """What `intend` said and a kill kept from being done; None where there is nothing."""
        try:
            told = read_json((self._folder / _INTENDED).read_text(encoding="utf-8"))
            return {job: Mark(int(sequence), bytes.fromhex(chain)) for job, (sequence, chain) in told.items()}
        except FileNotFoundError:
            return None
        except (ValueError, TypeError, AttributeError):
            return {}

    def replace(self, marks: Mapping[str, Mark]) -> None:
        """Put marks in place of those before, wherever these stood, and intend nothing any more."""
        if marks:
            self._folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        for job, mark in marks.items():
            write_durably(self._path(job), _to_slot(mark) + b" " * _SLOT_BYTES)
        (self._folder / _INTENDED).unlink(missing_ok=True)

    def _slot_of(self, job: str, mark: Mark) -> int:
        return 0 if _from_slot(self._path(job).read_bytes()[:_SLOT_BYTES]) == mark else 1

    def _path(self, job: str) -> Path:
        return self._folder / f"{quote(job, safe='')}.mark"


def _to_slot(mark: Mark) -> bytes:
    told = f"{mark.sequence} {mark.chain.hex()}"
    line = f"{told} {zlib.crc32(told.encode()):08x}\n"
    return line.encode().rjust(_SLOT_BYTES)


def _from_slot(slot: bytes) -> Mark | None:
    words = slot.split()
    if len(words) != 3 or b"%08x" % zlib.crc32(b" ".join(words[:2])) != words[2]:
        return None
    return Mark(int(words[0]), bytes.fromhex(words[1].decode()))
