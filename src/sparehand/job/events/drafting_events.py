"""What a first job writes of its own procedure."""

from __future__ import annotations

from typing import Literal

from sparehand.ground.bounds import Count, Measured
from sparehand.job.events.noting_events import Kept
from sparehand.job.events.words_events import Fact
from sparehand.procedures.plan import StepKey
from sparehand.procedures.quantities import TorqueValue

FastenerDoing = Literal["comes out", "goes in", "is tightened"]
Asked = Literal["doing", "count", "thread", "pitch", "size", "torque", "use", "waiting"]
"""What is asked about a fastener, in this order."""


class FirstJobBegun(Fact):
    """There is no procedure for this job yet: it writes one as it goes."""

    kind: Literal["first job begun"] = "first job begun"


class PhaseOpened(Fact):
    """A phase was added behind the last; its number counts from 1."""

    kind: Literal["phase opened"] = "phase opened"
    number: Count


class StepOpened(Fact):
    """A step was added to the present phase, behind its last; its number counts from 1 within the phase."""

    kind: Literal["step opened"] = "step opened"
    number: Count


class FastenerNamed(Fact):
    """A fastener was added; its number counts from 1."""

    kind: Literal["fastener named"] = "fastener named"
    number: Count


class FastenerTold(Fact):
    """One answer about a fastener: a number in millimetres or pieces, a torque, a choice; none where it is not known.

    `at` is the step at which something is done to it.
    """

    kind: Literal["fastener told"] = "fastener told"
    number: Count
    asked: Asked
    at: StepKey
    value: Measured | None = None
    torque: TorqueValue | None = None
    does: FastenerDoing | None = None
    yes: bool | None = None


class NameKept(Kept):
    """What a phase, a step or a fastener is called, in free words."""

    kind: Literal["name kept"] = "name kept"
    of: Literal["phase", "step", "fastener"]
    number: Count = 0


DraftingEvent = FirstJobBegun | PhaseOpened | StepOpened | FastenerNamed | FastenerTold | NameKept
