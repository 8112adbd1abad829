"""The snapshot made before a job: what each phase may take, and what is needed to say how long is left."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from sparehand.job.experience import ExpectedPhase, Experience
from sparehand.labour.evidence import gather_evidence
from sparehand.labour.forecast import Forecast, Knowledge, forecast, forecast_plan, learn
from sparehand.labour.layout import Floats, Setting
from sparehand.labour.needs import Need
from sparehand.labour.predict import Ahead, log_moments
from sparehand.labour.priors import Priors
from sparehand.labour.quote import QuoteRequest, planned_run
from sparehand.labour.sample import Plans, clean_jobs
from sparehand.labour.time_left import Outlook, PhaseOutlook
from sparehand.log.times import JobTimes
from sparehand.procedures.model import Procedure

SMALLEST_VARIANCE = 1e-4


@dataclass(frozen=True)
class Expected:
    """Both parts of the snapshot: ranges to say, and the outlook that "how long left" is computed from."""

    experience: Experience
    outlook: Outlook


def expect(
    request: QuoteRequest,
    procedure: Procedure | None,
    jobs: Sequence[JobTimes],
    others: Iterable[Procedure] = (),
    priors: Priors | None = None,
) -> Expected:
    """What to expect of the run that `request` describes.

    Raises InputError for an unknown operation or side, and for a procedure with neither a file nor times.
    """
    priors = priors or Priors()
    files = [each for each in (procedure, *others) if each is not None]
    plans = Plans.of(files)
    evidence = gather_evidence(clean_jobs(jobs, files), plans)
    needs = planned_run(request, procedure, evidence).needs
    setting = Setting(request.corrosion, request.support)
    if not evidence.all_jobs:
        drawn = forecast_plan(needs, request.procedure, plans, setting, priors)
        return Expected(_experience(drawn), _outlook(needs, *_log_moments_of(drawn.work), drawn.snags))
    known = learn(evidence, request.procedure, [need.key.phase for need in needs], plans, priors)
    drawn = forecast(known, needs, setting, request.technician)
    return Expected(
        _experience(drawn), _outlook(needs, *_mixture(known, needs, setting, request.technician), drawn.snags)
    )


def _experience(drawn: Forecast) -> Experience:
    minutes = np.quantile((drawn.work + drawn.snags) / 60, (0.1, 0.5, 0.9), axis=0)
    return Experience(
        tuple(
            ExpectedPhase(need.key, *(float(each) for each in minutes[:, place]))
            for place, need in enumerate(drawn.needs)
        )
    )


def _mixture(
    known: Knowledge, needs: Sequence[Need], setting: Setting, technician: str | None
) -> tuple[Floats, Floats]:
    """Mean and covariance of the log seconds over all the ways it may be."""
    ahead = [Ahead(need.key.phase, need.second) for need in needs]
    moments = log_moments(known.fit, ahead, setting, technician)
    mean = moments.weights @ moments.mean
    off = moments.mean - mean
    covariance = np.einsum("w,wij->ij", moments.weights, moments.covariance + off[:, :, None] * off[:, None, :])
    return mean, covariance


def _log_moments_of(work: Floats) -> tuple[Floats, Floats]:
    logs = np.log(work)
    return logs.mean(axis=0), np.atleast_2d(np.cov(logs.T))


def _outlook(needs: Sequence[Need], mean: Floats, covariance: Floats, snags: Floats) -> Outlook:
    """The covariance read as one shared part (the mean of its off-diagonal) and each phase's own."""
    count = len(needs)
    off_diagonal = covariance[~np.eye(count, dtype=bool)]
    shared = max(0.0, float(off_diagonal.mean())) if count > 1 else 0.0
    phases = tuple(
        PhaseOutlook(
            key=need.key,
            log_mean=float(mean[place]),
            own_variance=max(SMALLEST_VARIANCE, float(covariance[place, place]) - shared),
            snag_mean=float(snags[:, place].mean()),
            snag_variance=float(snags[:, place].var()),
        )
        for place, need in enumerate(needs)
    )
    return Outlook(phases, shared)
