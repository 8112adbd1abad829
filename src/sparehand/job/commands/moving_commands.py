"""From step to step."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True)
class Next:
    """Move on to the next step."""


@dataclass(frozen=True)
class NextPhase:
    """End this phase's clock and start the next."""


@dataclass(frozen=True)
class GoBack:
    """Go to the step before."""


@dataclass(frozen=True)
class SkipStep:
    """Leave this step for later."""


@dataclass(frozen=True)
class GoTo:
    """Go to the first open step of a phase, by the phase's id."""

    phase: str


@dataclass(frozen=True)
class Redo:
    """Do the present step, or the finished steps of its phase, once more."""

    what: Literal["step", "phase"] = "step"


@dataclass(frozen=True)
class OtherSide:
    """Go to the first open step on the other side, in the present phase where it repeats."""


@dataclass(frozen=True)
class ChooseWay:
    """Take one of the ways that a phase offers, by the way's id."""

    way: str


@dataclass(frozen=True)
class GoToSkipped:
    """Go to the first step that was skipped."""


MovingCommand = Next | NextPhase | GoBack | SkipStep | GoTo | GoToSkipped | ChooseWay | OtherSide | Redo
