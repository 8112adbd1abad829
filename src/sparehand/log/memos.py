"""The sound of memos, and pictures: files beside the database, named as their events say."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from contextlib import suppress
from pathlib import Path
from uuid import UUID

from sparehand.ground.errors import FailureError
from sparehand.job.job_notes import Note
from sparehand.log.durable import open_for_owner, put_durably
from sparehand.log.fault_points import Watch

MEMOS_FOLDER = "memos"
"""What the folder is called within the data folder."""
SOUND, PICTURE = ".wav", ".jpg"


class MemoFolder:
    """Keeps recordings and pictures, one file each, which is whole and on the disk before its event is."""

    def __init__(self, folder: Path, watch: Watch | None = None) -> None:
        self.folder = folder
        self._watch = watch or Watch()

    @classmethod
    def beside(cls, log: Path) -> MemoFolder:
        """The folder that belongs to the log in this file."""
        return cls(log.with_name(MEMOS_FOLDER))

    def keep(self, id: UUID, wav: bytes) -> None:
        """Write a recording: all of it is on the disk on return. Raises FailureError where that is not possible."""
        self._keep(self.path(id), wav, "the memo was not kept; free some room and say it again")

    def keep_picture(self, id: UUID, jpeg: bytes) -> None:
        """Write a picture likewise, unless it is there already."""
        path = self.path(id, PICTURE)
        if not path.is_file():
            self._keep(path, jpeg, "the picture was not kept; free some room and take it again")

    def _keep(self, path: Path, content: bytes, otherwise: str) -> None:
        half = path.with_name(path.name + ".part")
        self._watch.reached("before memo")
        try:
            self.folder.mkdir(mode=0o700, parents=True, exist_ok=True)
            with open(half, "wb", opener=open_for_owner) as file:
                file.write(content)
            self._watch.reached("memo not synced")
            put_durably(half, path)
        except OSError as error:
            with suppress(OSError):
                half.unlink(missing_ok=True)
            raise FailureError(f"{path} cannot be written ({error.strerror}): {otherwise}") from error
        self._watch.reached("after memo")

    def path(self, id: UUID, ending: str = SOUND) -> Path:
        """Where the recording of that event lies, or would; with PICTURE the picture of that name."""
        return self.folder / f"{id}{ending}"

    def file_of(self, note: Note) -> Path | None:
        """The file of a note; None where it has none, or it is not there."""
        path = self.path(note.id, note.ending) if note.ending else None
        return path if path and path.is_file() else None

    def read(self, id: UUID, ending: str = SOUND) -> bytes | None:
        """What a file holds; None where it is missing or cannot be read, which is never fatal."""
        try:
            return self.path(id, ending).read_bytes()
        except OSError:
            return None

    def remove(self, notes: Iterable[Note]) -> int:
        """Delete the files of notes; gives how many there were. Raises FailureError where one cannot be deleted."""
        there = [path for note in notes if (path := self.file_of(note))]
        for path in there:
            delete_file(path)
        return len(there)

    def strays(self, known: Collection[Path]) -> Iterator[Path]:
        """Files that are none of `known`: what a kill left behind, and the files of what was taken back."""
        for path in sorted(self.folder.glob("*")) if self.folder.is_dir() else ():
            if path not in known and {SOUND, PICTURE} & {*path.suffixes}:
                yield path


def delete_file(path: Path) -> None:
    """Delete a file of a data folder. Raises FailureError where that cannot be done."""
    try:
        path.unlink(missing_ok=True)
    except OSError as error:
        raise FailureError(f"{path} cannot be deleted ({error.strerror}); mend its permissions") from error
