"""The sound of memos: files beside the database, named by their events."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from contextlib import suppress
from pathlib import Path
from uuid import UUID

from sparehand.ground.errors import FailureError
from sparehand.log.durable import open_for_owner, put_durably
from sparehand.log.fault_points import Watch

MEMOS_FOLDER = "memos"
"""What the folder is called within the data folder."""


class MemoFolder:
    """Keeps recordings, one file each. A recording is whole and on the disk before its event is."""

    def __init__(self, folder: Path, watch: Watch | None = None) -> None:
        self.folder = folder
        self._watch = watch or Watch()

    @classmethod
    def beside(cls, log: Path) -> MemoFolder:
        """The folder that belongs to the log in this file."""
        return cls(log.with_name(MEMOS_FOLDER))

    def keep(self, id: UUID, wav: bytes) -> None:
        """Write a recording: all of it is on the disk on return. Raises FailureError where that is not possible."""
        path = self.path(id)
        half = path.with_name(path.name + ".part")
        self._watch.reached("before memo")
        try:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            with open(half, "wb", opener=open_for_owner) as file:
                file.write(wav)
            self._watch.reached("memo not synced")
            put_durably(half, path)
        except OSError as error:
            with suppress(OSError):
                half.unlink(missing_ok=True)
            raise FailureError(
                f"{path} cannot be written ({error.strerror}): the memo was not kept; free some room and say it again"
            ) from error
        self._watch.reached("after memo")

    def path(self, id: UUID) -> Path:
        """Where the recording of that event lies, or would."""
        return self.folder / f"{id}.wav"

    def has(self, id: UUID) -> bool:
        """Whether the recording is there."""
        return self.path(id).is_file()

    def read(self, id: UUID) -> bytes | None:
        """What the file of a recording holds; None where it is missing or cannot be read, which is never fatal."""
        try:
            return self.path(id).read_bytes()
        except OSError:
            return None

    def remove(self, ids: Collection[UUID]) -> int:
        """Delete recordings; gives how many there were. Raises FailureError where one cannot be deleted."""
        there = [self.path(id) for id in ids if self.has(id)]
        for path in there:
            delete_file(path)
        return len(there)

    def strays(self, known: Collection[UUID]) -> Iterator[Path]:
        """Files that belong to no event of `known`: what a kill left behind, and the sound of what was taken back."""
        names = {self.path(id).name for id in known}
        for path in sorted(self.folder.glob("*.wav*")) if self.folder.is_dir() else ():
            if path.name not in names:
                yield path


def delete_file(path: Path) -> None:
    """Delete a file of a data folder. Raises FailureError where that cannot be done."""
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise FailureError(f"{path} cannot be deleted ({error.strerror}); mend its permissions") from error
