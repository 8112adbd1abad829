"""From step to step."""

from __future__ import annotations

from dataclasses import dataclass


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
class GoToSkipped:
    """Go to the first step that was skipped."""
