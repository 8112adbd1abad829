"""What is seen of the vehicle during the job, and that the job is practice."""

from __future__ import annotations

from dataclasses import dataclass

from sparehand.job.events import Corrosion, Support


@dataclass(frozen=True)
class SayCorrosion:
    """How corroded the vehicle is."""

    level: Corrosion


@dataclass(frozen=True)
class SaySupport:
    """What the vehicle stands on."""

    support: Support


@dataclass(frozen=True)
class SayOdometer:
    """What the odometer shows, as its digits were heard."""

    digits: str


@dataclass(frozen=True)
class PracticeOnly:
    """The job is practice."""


ConditionCommand = PracticeOnly | SayCorrosion | SayOdometer | SaySupport
