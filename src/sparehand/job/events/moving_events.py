"""From step to step."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sparehand.job.events.words_events import Fact
from sparehand.procedures.plan import PhaseKey, StepKey


class StepReached(Fact):
    """The technician is now at `step`; `finished` or `skipped` is the step left behind. A new phase moves the clock."""

    kind: Literal["step reached"] = "step reached"
    step: StepKey
    finished: StepKey | None = None
    skipped: tuple[StepKey, ...] = ()


class StepsReopened(Fact):
    """Steps that were done are to be done once more, from the first of them; their use-once parts are used up."""

    kind: Literal["steps reopened"] = "steps reopened"
    steps: tuple[StepKey, ...] = Field(min_length=1)


class StepDone(Fact):
    """The step is confirmed as done, its fasteners apart."""

    kind: Literal["step done"] = "step done"
    step: StepKey


class WayChosen(Fact):
    """One of the ways that a phase offers is taken.

    `keeps` are steps of another way that stay: done already, or putting back what is apart.
    """

    kind: Literal["way chosen"] = "way chosen"
    at: PhaseKey
    way: str
    keeps: tuple[StepKey, ...] = ()


MovingEvent = StepReached | StepDone | StepsReopened | WayChosen
