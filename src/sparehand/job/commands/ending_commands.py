"""Answers to a question, taking back, parking and closing."""

from __future__ import annotations

from dataclasses import dataclass

from sparehand.job.events import LeaveReason


@dataclass(frozen=True)
class Confirm:
    """Yes to the open question."""


@dataclass(frozen=True)
class Refuse:
    """No to the open question."""


@dataclass(frozen=True)
class Undo:
    """Take back what was recorded last."""


@dataclass(frozen=True)
class Park:
    """Leave the job for later."""


@dataclass(frozen=True)
class Close:
    """End the job; with a reason where something has to be left open."""

    reason: LeaveReason | None = None


EndingCommand = Confirm | Refuse | Undo | Park | Close
