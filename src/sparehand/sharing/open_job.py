"""An open job as the shop's other benches hear of it."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from sparehand.ground.bounds import SECONDS, Name, Wall

Standing = Literal["working", "on hold", "parked", "bench off"]

MOST_OF_JOB = 20
"""So many technicians of a job, and reasons why it waits, are told at most."""
Hours = Annotated[float, Field(ge=0, le=SECONDS / 3600, allow_inf_nan=False)]
Few = Field(max_length=MOST_OF_JOB)


class OpenJob(BaseModel):
    """An open job of another bench at the moment `heard`, by the clock of whoever reads it.

    `people` are ids or names, each with what it has stopped for (empty: it works); `hours_left` the median of the work
    that is left and what 9 in 10 stay below, None where nobody can tell.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: Name
    bench: Name
    procedure: Name
    standing: Standing
    people: Annotated[tuple[tuple[Name, Name], ...], Few]
    phase: Name
    phase_minutes: Annotated[float, Field(ge=0, le=SECONDS / 60, allow_inf_nan=False)]
    over_range: bool
    waits_for: Annotated[tuple[Name, ...], Few]
    hours_left: tuple[Hours, Hours] | None
    heard: Wall
