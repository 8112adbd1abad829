"""Who comes to a job, leaves it, and speaks."""

from __future__ import annotations

from typing import Literal

from sparehand.job.events.words_events import Fact


class TechnicianJoined(Fact):
    """One more technician is on the job from now on."""

    kind: Literal["technician joined"] = "technician joined"
    technician: str


class TechnicianLeft(Fact):
    """A technician is not on the job any more."""

    kind: Literal["technician left"] = "technician left"
    technician: str


class TechnicianActs(Fact):
    """What is said from now on is said by this technician."""

    kind: Literal["technician acts"] = "technician acts"
    technician: str
