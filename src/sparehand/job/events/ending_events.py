"""Questions, taking back, parking and closing."""

from __future__ import annotations

from typing import Literal

from sparehand.ground.bounds import Count, Measured, Milliseconds
from sparehand.job.events.words_events import Fact
from sparehand.procedures.model import Side
from sparehand.procedures.quantities import TorqueValue

QuestionKind = Literal[
    "reading",
    "measurement",
    "close",
    "skip warning",
    "restart tightening",
    "approval limit",
    "drop operation",
    "redo",
    "extension",
    "reading by other data",
    "fastener value",
    "forgotten word",
    "skip steps",
    "already so",
    "angle begun",
    "which finding",
    "fault measured",
    "press size",
    "test distance",
    "due reading",
    "odometer",
    "same things",
]


class Question(Fact):
    """Something asked of the technician that waits for "yes confirm" or "no cancel".

    `reading` carries the value heard, for the fastener or measurement `about`; the other kinds say in `about` what a
    "yes" would do.
    """

    kind: QuestionKind
    about: str
    side: Side | None = None
    torque: TorqueValue | None = None
    value: Measured | None = None
    unit: str | None = None
    lapses_after_ms: Milliseconds = 45_000

    @property
    def number(self) -> float:
        """The number that it asks about. Raises ValueError where there is none; a yes to such a one is refused."""
        if self.value is None:
            raise ValueError(f"the question {self.kind} has no value")
        return self.value


class QuestionAsked(Fact):
    """A question stands open."""

    kind: Literal["question asked"] = "question asked"
    question: Question


class QuestionAnswered(Fact):
    """The open question was answered with no; a yes is told by the event it brings."""

    kind: Literal["question answered"] = "question answered"
    answer: Literal["no", "lapsed"]


class Undone(Fact):
    """Everything from `batch` on is taken back, but for the time that passed."""

    kind: Literal["undone"] = "undone"
    batch: Count


class JobParked(Fact):
    """The job is left for later, with what stood open then."""

    kind: Literal["job parked"] = "job parked"
    safe_to_drive: bool


class JobClosed(Fact):
    """The job ends. `reason` is given where something was left open, and `left_open` names it."""

    kind: Literal["job closed"] = "job closed"
    reason: str = ""
    left_open: tuple[str, ...] = ()


EndingEvent = QuestionAsked | QuestionAnswered | Undone | JobParked | JobClosed
