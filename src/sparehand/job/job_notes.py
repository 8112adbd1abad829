"""The memos, other free words and pictures of a job: a fold over its history, for they change nothing of the work."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal
from uuid import UUID

from sparehand.job import events as e
from sparehand.procedures.plan import StepKey


@dataclass(frozen=True)
class Note:
    """Free words as they were kept, or a picture; `heard` marks words that a recogniser wrote down.

    `id` names its file, if it has one. In a first job they may name something: the phase or step they were kept at, or
    the fastener of that `number`.
    """

    id: UUID
    kind: e.NoteKind | Literal["picture"]
    job: str
    at: StepKey
    by: str
    kept_at: datetime
    sound_ms: int
    words: str
    heard: bool = False
    number: int = 0
    finding: int | None = None

    @property
    def ending(self) -> str:
        """That of its file's name; empty where it has no file."""
        return ".jpg" if self.kind == "picture" else ".wav" if self.sound_ms else ""

    @property
    def name(self) -> str:
        """What it is called wherever it is named: the beginning of its id would not tell two of one minute apart."""
        return str(self.id)


def notes(history: Iterable[e.Recorded]) -> tuple[Note, ...]:
    """All free words and pictures that were not taken back, in order."""
    kept: dict[UUID, tuple[int, Note]] = {}
    written: dict[UUID, str] = {}
    for recorded in history:
        match recorded.event:
            case e.MemoKept() | e.LessonKept() | e.NameKept():
                kept[recorded.id] = (recorded.batch, _note(recorded, recorded.event))
            case e.PictureTaken():
                kept[recorded.id] = (recorded.batch, _picture(recorded, recorded.event))
            case e.WordsWritten(of=of, words=words):
                written[of] = words
            case e.Undone(batch=batch):
                kept = {id: entry for id, entry in kept.items() if entry[0] < batch}
            case _:
                pass
    return tuple(_with_words(note, written.get(id, "")) for id, (_, note) in kept.items())


def _note(recorded: e.Recorded, event: e.MemoKept | e.LessonKept | e.NameKept) -> Note:
    kind: e.NoteKind = "memo" if isinstance(event, e.MemoKept) else "lesson"
    return Note(
        id=recorded.id,
        kind=event.of if isinstance(event, e.NameKept) else kind,
        job=recorded.job,
        at=event.at,
        by=recorded.technician,
        kept_at=recorded.at.wall,
        sound_ms=event.sound_ms,
        words=event.words,
        number=event.number if isinstance(event, e.NameKept) else 0,
    )


def _picture(recorded: e.Recorded, event: e.PictureTaken) -> Note:
    return Note(
        id=event.picture,
        kind="picture",
        job=recorded.job,
        at=event.at,
        by=recorded.technician,
        kept_at=recorded.at.wall,
        sound_ms=0,
        words="",
        finding=event.finding,
    )


def _with_words(note: Note, heard: str) -> Note:
    return note if note.words or not heard else replace(note, words=heard, heard=True)
