"""What the wording of an answer may draw on beside the state of the job."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from sparehand.ground.clock import Moment
from sparehand.job.answer import Answer, Line
from sparehand.job.decision import Tell
from sparehand.job.experience import Experience
from sparehand.job.state import JobState


@dataclass(frozen=True)
class AnswerContext:
    """What an answer may draw on beside the state: time, experience, the answer before, and the phrases of now.

    `last_at` is when the answer before was given. `terse` asks for values without the sentences around them, for the
    ear; the screen shows all of it.
    """

    now: Moment
    experience: Experience
    last: Answer
    phrases: tuple[str, ...] = ()
    terse: bool = False
    last_at: Moment | None = None


Wording = Callable[[JobState, Tell, AnswerContext], tuple[Line, ...]]
