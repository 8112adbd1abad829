"""Who comes to a job, leaves it, and speaks."""

from __future__ import annotations

from typing import Literal

from sparehand.ground.bounds import Name
from sparehand.job.events.words_events import Fact


class TechnicianJoined(Fact):
    """One more technician is on the job from now on."""

    kind: Literal["technician joined"] = "technician joined"
    technician: Name


class TechnicianLeft(Fact):
    """A technician is not on the job any more."""

    kind: Literal["technician left"] = "technician left"
    technician: Name


class TechnicianActs(Fact):
    """What is said from now on is said by this technician."""

    kind: Literal["technician acts"] = "technician acts"
    technician: Name


PeopleEvent = TechnicianJoined | TechnicianLeft | TechnicianActs
