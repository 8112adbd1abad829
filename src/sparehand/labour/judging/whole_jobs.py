"""Finished jobs seen whole: hours taken against hours planned for the same phases, what simple forecasts look at."""

from __future__ import annotations

import math
from collections.abc import Iterable

from sparehand.labour.judging.rivals import WholeJob
from sparehand.times.sample import Plans, SampleJob


def whole_job(job: SampleJob, plans: Plans) -> WholeJob | None:
    """The job as a whole, snags included; None where a phase is unfinished."""
    if not all(cell.complete for cell in job.cells):
        return None
    seconds = math.fsum(cell.seconds for cell in job.cells) + math.fsum(snag.seconds for snag in job.snags)
    planned = math.fsum(plans.reference(job.procedure, cell.phase) for cell in job.cells)
    return WholeJob(seconds / 3600, planned / 3600)


def finished_jobs(jobs: Iterable[SampleJob], plans: Plans) -> tuple[WholeJob, ...]:
    """The finished ones of the jobs, in their order."""
    return tuple(whole for whole in (whole_job(job, plans) for job in jobs) if whole is not None)
