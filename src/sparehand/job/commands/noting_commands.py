"""Free words: a memo or a lesson begins, ends, and is taken down. A picture is asked for and comes."""

from __future__ import annotations

from dataclasses import dataclass
from uuid import UUID

from sparehand.job.events import NoteKind
from sparehand.procedures.plan import StepKey


@dataclass(frozen=True)
class KeepMemo:
    """Record a memo from now on."""


@dataclass(frozen=True)
class KeepLesson:
    """Record a lesson for this step from now on."""


@dataclass(frozen=True)
class EndMemo:
    """What is being recorded is complete."""


@dataclass(frozen=True)
class DropMemo:
    """What is being recorded is not to be kept."""


@dataclass(frozen=True)
class NoteTaken:
    """Free words were taken down. Sent by the bench, never spoken.

    `id` is that of the event it becomes, for its sound of `sound_ms` milliseconds lies in a file of that name already;
    0 where it was typed.
    """

    id: UUID
    note: NoteKind
    sound_ms: int = 0
    words: str = ""


@dataclass(frozen=True)
class TakePicture:
    """Ask whoever has the page for a picture of this step."""


@dataclass(frozen=True)
class PictureCame:
    """A picture of a step of `job` was taken. Sent by the bench, never spoken; its file, named by `id`, is there."""

    id: UUID
    job: str
    at: StepKey


NotingCommand = KeepMemo | KeepLesson | EndMemo | DropMemo | NoteTaken | TakePicture | PictureCame
