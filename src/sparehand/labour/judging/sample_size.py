"""How many more jobs until the usual time is known well enough, and what may be promised of nearly all jobs."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np
from pydantic import BaseModel, ConfigDict

from sparehand.ground.errors import InputError
from sparehand.labour.evidence.shop_evidence import gather_evidence
from sparehand.labour.evidence.slips import gate_slips, phase_bins, usual_times
from sparehand.labour.forecasting.quote import planned_run
from sparehand.labour.forecasting.quote_records import QuoteRequest
from sparehand.labour.forecasting.quoted_phases import Run
from sparehand.labour.judging.tolerance import free_limit, jobs_for_limit, lognormal_limit
from sparehand.labour.judging.whole_jobs import finished_jobs
from sparehand.procedures.model import Procedure
from sparehand.times.job_times import JobTimes
from sparehand.times.sample import Plans, SampleJob, clean_jobs

WITHIN = (0.05, 0.10)
NEARLY_ALL, CONFIDENCE = 0.99, 0.95
DEFAULT_LOG_SD = 0.43


def observations(mean: float, sd: float, within: float = 0.05, z: float = 1.96) -> int:
    """Observations for the mean to lie `within` of itself, at z standard errors: (z s / (h mean))2.

    With the sd of divisor n and z = 2 it is the usual work-study form N = (40 sqrt(n sum x2 - (sum x)2) / sum x)2,
    where 40 is 2 / 0.05; with the sample sd (divisor n - 1) and z = 1.96 that of a normal quantile.
    """
    return _whole((z * sd / (within * mean)) ** 2)


class JobsNeeded(BaseModel):
    """Jobs until the median is known within a share of itself (95 %), by both work-study conventions."""

    model_config = ConfigDict(frozen=True)

    within: float
    textbook: int
    sampled: int
    more_jobs: int
    """Still to be timed, by the larger of the two."""


class NearlyAll(BaseModel):
    """The hours that 99 of 100 jobs stay below, with 95 % confidence."""

    model_config = ConfigDict(frozen=True)

    share: float
    confidence: float
    distribution_free_hours: float | None
    lognormal_hours: float | None
    distribution_free_needs_jobs: int


class SampleSize(BaseModel):
    """What the finished jobs of a procedure allow to be said, for the operations asked for."""

    model_config = ConfigDict(frozen=True)

    procedure: str
    operations: tuple[str, ...]
    jobs: int
    log_sd: float
    log_sd_is: str
    needed: tuple[JobsNeeded, ...]
    nearly_all: NearlyAll
    advice: str
    """What an owner should do, in one sentence."""


def sample_size(request: QuoteRequest, procedure: Procedure | None, jobs: Sequence[JobTimes]) -> SampleSize:
    """Sample sizes for the run that `request` describes, from the finished jobs that had the operations asked for.

    Of a job that had more, only the phases of these count. Times that cannot be right are mended or left out.

    Raises InputError for an unknown operation or side, and for a procedure with neither a file nor times.
    """
    files = [] if procedure is None else [procedure]
    sample, plans = clean_jobs(jobs, files), Plans.of(files)
    run = planned_run(request, procedure, gather_evidence(sample, plans))
    planned = math.fsum(plans.reference(request.procedure, need.key.phase) for need in run.needs) / 3600
    ratios = [whole.ratio for whole in finished_jobs(_of_run(run, request, sample, plans), plans)]
    logs = np.log(ratios) if ratios else np.zeros(0)
    known = len(set(ratios)) > 1
    log_sd = float(logs.std(ddof=1)) if known else DEFAULT_LOG_SD
    hours = [ratio * planned for ratio in ratios]
    needed = tuple(_needed(within, log_sd, len(ratios)) for within in WITHIN)
    return SampleSize(
        procedure=request.procedure,
        operations=run.operations,
        jobs=len(ratios),
        log_sd=log_sd,
        log_sd_is="of the finished jobs" if known else "the default, for fewer than two finished jobs differ",
        needed=needed,
        advice=_advice(needed),
        nearly_all=NearlyAll(
            share=NEARLY_ALL,
            confidence=CONFIDENCE,
            distribution_free_hours=free_limit(hours, NEARLY_ALL, CONFIDENCE),
            lognormal_hours=lognormal_limit(hours, NEARLY_ALL, CONFIDENCE) if known else None,
            distribution_free_needs_jobs=jobs_for_limit(NEARLY_ALL, CONFIDENCE),
        ),
    )


def _of_run(run: Run, request: QuoteRequest, sample: Sequence[SampleJob], plans: Plans) -> Iterator[SampleJob]:
    """The jobs that had the operations asked for, each with the phases that these need."""
    wanted = set(request.operations)
    own = [job for job in sample if job.procedure == request.procedure and wanted <= set(job.operations)]
    phases = {need.key.phase for need in run.needs}
    mended, _ = gate_slips(own, usual_times(phase_bins(own), plans))
    for job in mended:
        cells = tuple(cell for cell in job.cells if cell.phase in phases)
        if cells:
            yield replace(job, cells=cells, snags=tuple(snag for snag in job.snags if snag.phase in phases))


def _advice(needed: Sequence[JobsNeeded]) -> str:
    fine, coarse = needed
    if coarse.more_jobs:
        return (
            f"Time {coarse.more_jobs} more such jobs, then the usual time is known within {coarse.within:.0%}; "
            f"within {fine.within:.0%} it is after {fine.more_jobs}."
        )
    if fine.more_jobs:
        return f"Quote by the usual time, known within {coarse.within:.0%}; {fine.more_jobs} more jobs halve that."
    return f"Quote by the usual time: it is known within {fine.within:.0%}, and more jobs would change little."


def _needed(within: float, log_sd: float, have: int) -> JobsNeeded:
    """On the log scale a relative error of the median is an absolute one, so both conventions use log(1 + within)."""
    divisor_n = log_sd * math.sqrt(max(have - 1, 1) / max(have, 1))
    step = math.log1p(within)
    textbook, sampled = observations(1.0, divisor_n, step, z=2), observations(1.0, log_sd, step)
    return JobsNeeded(
        within=within, textbook=textbook, sampled=sampled, more_jobs=max(0, max(textbook, sampled) - have)
    )


def _whole(observations: float) -> int:
    if not math.isfinite(observations):
        raise InputError("the number of observations is not finite: times must be above zero")
    return math.ceil(observations - 1e-9)
