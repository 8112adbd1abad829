"""Rolling origin: every finished job forecast from the jobs before it, beside the simple rivals, and judged plainly."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

import numpy as np
from pydantic import BaseModel, ConfigDict

from sparehand.ground.errors import InputError
from sparehand.labour.evidence.shop_evidence import gather_evidence
from sparehand.labour.fitting.arrays import Floats
from sparehand.labour.fitting.effect_layout import Setting
from sparehand.labour.fitting.priors import Priors
from sparehand.labour.forecasting.forecast import Knowledge, forecast, forecast_plan, learn
from sparehand.labour.forecasting.quoted_phases import Need
from sparehand.labour.judging.rivals import RIVALS, WholeJob, rival_draws
from sparehand.labour.judging.scores import coverage_of, crps, mean_pinball, place_in
from sparehand.labour.judging.verdict import OURS, Judged, advice, verdict
from sparehand.labour.judging.whole_jobs import finished_jobs, whole_job
from sparehand.procedures.model import Procedure
from sparehand.times.job_times import JobTimes
from sparehand.times.sample import Plans, SampleJob, clean_jobs
from sparehand.times.time_cells import UNITS_A_DAY

DRAWS = 4096
GROWTH = 1.05
"""Fitted anew each time the jobs have grown by a twentieth, never with the job it forecasts or later ones."""
BINS = 10


class BacktestRecord(BaseModel):
    """Base: immutable."""

    model_config = ConfigDict(frozen=True)


class CoverageRow(BacktestRecord):
    """How often a central range held; within `low` and `high` lies 95 % of what chance alone would do."""

    nominal: float
    held: float
    low: float
    high: float


class ScoreRow(BacktestRecord):
    """Mean losses in hours; lower is better. A point forecast's CRPS is its absolute error."""

    forecast: str
    pinball_hours: float
    crps_hours: float


class Backtest(BacktestRecord):
    """How forecasts made beforehand would have done. `pit` counts outcomes by tenth of their forecast."""

    procedure: str | None
    jobs: int
    unfinished: int
    coverage: tuple[CoverageRow, ...]
    scores: tuple[ScoreRow, ...]
    pit: tuple[int, ...]
    verdict: str
    advice: str
    """What an owner should do, in one sentence."""


def backtest(
    procedure: str | None, jobs: Sequence[JobTimes], procedures: Iterable[Procedure] = (), priors: Priors | None = None
) -> Backtest:
    """Back-test one procedure's jobs, or all procedures' (None).

    Raises InputError where no job was finished.
    """
    files = tuple(procedures)
    sample, plans = clean_jobs(jobs, files), Plans.of(files)
    names = [procedure] if procedure else list(dict.fromkeys(job.procedure for job in sample))
    judged = [row for name in names for row in _judge(name, sample, plans, priors or Priors())]
    if not judged:
        raise InputError(f"{procedure or 'the log'} has no finished job to test forecasts on: finish or import some")
    chosen = [job for job in sample if job.procedure in names]
    everyone = (OURS, *RIVALS)
    return Backtest(
        procedure=procedure,
        jobs=len(judged),
        unfinished=len(chosen) - len(judged),
        coverage=tuple(CoverageRow(**vars(row)) for row in coverage_of([row.place for row in judged])),
        scores=tuple(
            ScoreRow(
                forecast=name,
                pinball_hours=float(np.mean([row.pinball[name] for row in judged])),
                crps_hours=float(np.mean([row.crps[name] for row in judged])),
            )
            for name in everyone
        ),
        pit=tuple(np.histogram([row.place for row in judged], bins=BINS, range=(0, 1))[0].tolist()),
        verdict=verdict(judged),
        advice=advice(judged),
    )


def _judge(procedure: str, sample: Sequence[SampleJob], plans: Plans, priors: Priors) -> Iterator[Judged]:
    known: Knowledge | None = None
    fitted = 0
    phases = tuple(dict.fromkeys(cell.phase for job in sample if job.procedure == procedure for cell in job.cells))
    for place, job in enumerate(sample):
        outcome = whole_job(job, plans)
        if job.procedure != procedure or outcome is None:
            continue
        before = sample[:place]
        if before and len(before) >= GROWTH * fitted:
            known, fitted = learn(gather_evidence(before, plans), procedure, phases, plans, priors), len(before)
        earlier = finished_jobs((each for each in before if each.procedure == procedure), plans)
        yield judge(job, outcome, known, earlier, plans, priors)


def judge(
    job: SampleJob,
    outcome: WholeJob,
    known: Knowledge | None,
    earlier: Sequence[WholeJob],
    plans: Plans,
    priors: Priors,
) -> Judged:
    """The forecast of a job from what is `known`, and of each rival from the `earlier` jobs, held to its `outcome`."""
    needs = tuple(Need(cell.key, cell.second, 1) for cell in job.cells)
    setting = Setting(job.corrosion, job.support)
    if known is None:
        drawn = forecast_plan(needs, job.procedure, plans, setting, priors)
    else:
        ahead = max(0.0, (job.unit - known.fit.layout.blocks.latest) / UNITS_A_DAY)
        drawn = forecast(known, needs, replace(setting, days_ahead=ahead), job.technician, DRAWS)
    forecasts: dict[str, Floats] = {OURS: drawn.total_hours}
    forecasts.update({rival: rival_draws(rival, earlier, outcome.planned) for rival in RIVALS})
    return Judged(
        place_in(forecasts[OURS], outcome.hours),
        {name: crps(hours, outcome.hours) for name, hours in forecasts.items()},
        {name: mean_pinball(hours, outcome.hours) for name, hours in forecasts.items()},
    )
