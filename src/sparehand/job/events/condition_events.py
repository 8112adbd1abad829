"""What is seen of the vehicle while the work goes on, and whether the work is real."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sparehand.job.events.words_events import Corrosion, DistanceUnit, Fact, Support


class ConditionsSeen(Fact):
    """Corrosion, support or odometer as a technician saw it during the job or said at the desk; None is not said."""

    kind: Literal["conditions seen"] = "conditions seen"
    corrosion: Corrosion | None = None
    support: Support | None = None
    odometer: int | None = Field(default=None, ge=0)
    odometer_unit: DistanceUnit | None = None


class PracticeMarked(Fact):
    """The job is practice only: its times never count."""

    kind: Literal["practice marked"] = "practice marked"


ConditionEvent = ConditionsSeen | PracticeMarked
