"""Which jobs' times are those of real work: not practice, and not phases that were clicked through in seconds. Pure."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping

from sparehand.times.job_times import JobTimes, KeptJob, PhaseTime

SHARE_OF_PLAN = 0.05
"""A phase below this share of its plan, and below a minute, cannot be real (this project's choice)."""
MOST_SECONDS = 60.0
UNPLANNED_SECONDS = 20.0
"""The same for a phase without a plan."""
PRACTICE = "practice only"
CLICKED_THROUGH = "most of its phases took seconds"


def left_out_reason(times: JobTimes, planned: Mapping[str, float]) -> str:
    """Why the times of a job do not count; "" where they do. What a person has decided is not changed.

    `planned` gives the planned seconds of phases by id.
    """
    if times.left_out is not None:
        return times.left_out
    finished = [part for part in times.phases if part.complete]
    weight = [planned.get(part.phase, UNPLANNED_SECONDS / SHARE_OF_PLAN) for part in finished]
    short = [each for part, each in zip(finished, weight, strict=True) if took_seconds(part, planned.get(part.phase))]
    return CLICKED_THROUGH if short and math.fsum(short) >= 0.5 * math.fsum(weight) else ""


def judged(times: KeptJob, planned: Mapping[str, float]) -> str | None:
    """Why an imported job does not count, judged by its plan as those timed here are; None where it does."""
    if not planned or min(times.work_seconds, default=MOST_SECONDS) >= MOST_SECONDS:
        return None
    return left_out_reason(times._replace(left_out=None).as_job_times(), planned) or None


def plan_text(planned: Mapping[str, float]) -> str | None:
    """A plan as text, by which it is told from another; None where there is none."""
    return json.dumps(sorted(planned.items())) if planned else None


def took_seconds(part: PhaseTime, planned_seconds: float | None) -> bool:
    """Whether a phase took seconds where its work needs minutes."""
    least = UNPLANNED_SECONDS if planned_seconds is None else min(SHARE_OF_PLAN * planned_seconds, MOST_SECONDS)
    return part.work_seconds < least
