"""Free words that were kept, and what became of them at the desk."""

from __future__ import annotations

from typing import Literal
from uuid import UUID

from pydantic import Field

from sparehand.ground.bounds import Milliseconds
from sparehand.job.events.words_events import Fact
from sparehand.procedures.plan import StepKey

NoteKind = Literal["memo", "lesson", "phase", "step", "fastener"]
"""What free words are for: by themselves, or as the name of something in a first job."""


class Kept(Fact):
    """Free words. Their sound of `sound_ms` milliseconds lies in a file named by the event's id; 0 is no sound."""

    at: StepKey
    sound_ms: Milliseconds = 0
    words: str = ""


class MemoKept(Kept):
    """A memo was recorded or typed; it may tell of the finding of that number."""

    kind: Literal["memo kept"] = "memo kept"
    finding: int | None = Field(default=None, ge=1)


class LessonKept(Kept):
    """A lesson for whoever does this step of the procedure next."""

    kind: Literal["lesson kept"] = "lesson kept"


class PictureTaken(Fact):
    """A picture of the step, and of the finding of that number; it lies in a file named by `picture`."""

    kind: Literal["picture taken"] = "picture taken"
    at: StepKey
    picture: UUID
    finding: int | None = Field(default=None, ge=1)


class WordsWritten(Fact):
    """The words of a recording, as a recogniser wrote them down; the sound stays what counts."""

    kind: Literal["words written"] = "words written"
    of: UUID
    words: str


class LessonReviewed(Fact):
    """Somebody read a lesson at the desk and lets it stand."""

    kind: Literal["lesson reviewed"] = "lesson reviewed"
    lesson: UUID


class LessonRetired(Fact):
    """A lesson is not to be heard any more."""

    kind: Literal["lesson retired"] = "lesson retired"
    lesson: UUID


NotingEvent = MemoKept | LessonKept | PictureTaken | WordsWritten | LessonReviewed | LessonRetired
