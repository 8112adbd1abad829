"""What multiplies the time: corrosion, stands, the second side, learning, and (where a shop wants it) who does it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from sparehand.labour.evidence.shop_evidence import Evidence, gather_evidence
from sparehand.labour.fitting.arrays import Floats
from sparehand.labour.fitting.priors import CORRODED, HEAVY, LEARNING, SECOND, STANDS, Priors
from sparehand.labour.fitting.procedure_model import Fit
from sparehand.labour.forecasting.forecast import learn
from sparehand.procedures.model import Procedure
from sparehand.times import pattern_sums
from sparehand.times.job_times import JobTimes
from sparehand.times.sample import Plans, SampleJob, clean_jobs, doublings_of
from sparehand.times.time_left import FOUR_IN_FIVE

ENOUGH_JOBS = 5
"""A technician with fewer jobs is not shown: the figure would be the shop's, not theirs."""


CONDITIONS: tuple[tuple[str, tuple[int, ...], str, Callable[[SampleJob], bool]], ...] = (
    ("light corrosion", (CORRODED,), pattern_sums.LIGHT, lambda job: job.corrosion == "light"),
    ("heavy corrosion", (CORRODED, HEAVY), pattern_sums.HEAVY, lambda job: job.corrosion == "heavy"),
    ("on stands", (STANDS,), pattern_sums.STANDS, lambda job: job.support == "stands"),
    ("second side", (SECOND,), "", lambda job: any(cell.second for cell in job.cells)),
    ("each doubling of repetitions", (LEARNING,), pattern_sums.LEARNING, lambda job: job.doublings > 0),
)
"""Name, effects added up, regressor ('' of a phase), and whether a job kept as a row had it."""


@dataclass(frozen=True)
class Effect:
    """Times as much time as otherwise: the median and the four-in-five range. `jobs` is how many it was seen in."""

    name: str
    low: float
    median: float
    high: float
    jobs: int


@dataclass(frozen=True)
class Effects:
    """All effects of a shop. `technicians` is empty unless asked for."""

    conditions: tuple[Effect, ...]
    technicians: tuple[Effect, ...]


def effects(
    procedure: str,
    jobs: Sequence[JobTimes],
    procedures: Iterable[Procedure] = (),
    technicians: bool = False,
    priors: Priors | None = None,
) -> Effects:
    """The multiplicative effects in the shop's times, seen from `procedure`; those never seen in a job are left out."""
    files = tuple(procedures)
    plans = Plans.of(files)
    evidence = gather_evidence(clean_jobs(jobs, files), plans)
    if not evidence.all_jobs:
        return Effects((), ())
    fitted = learn(evidence, procedure, (), plans, priors or Priors()).fit
    conditions = [
        _effect(fitted, _ones(fitted, places), name, _seen(evidence, regressor, of_row))
        for name, places, regressor, of_row in CONDITIONS
    ]
    people = [
        _effect(fitted, _next_job_of(fitted, name), name, fitted.shop_jobs_by[name])
        for name in fitted.layout.technicians
        if technicians and fitted.shop_jobs_by[name] >= ENOUGH_JOBS
    ]
    return Effects(
        tuple(effect for effect in conditions if effect.jobs), tuple(sorted(people, key=lambda effect: effect.name))
    )


def _next_job_of(fitted: Fit, technician: str) -> Floats:
    """A person's effect at the repetition that comes next."""
    return fitted.layout.of_person(technician, doublings_of(fitted.jobs_by[technician] + 1))


def _ones(fitted: Fit, places: tuple[int, ...]) -> Floats:
    row = np.zeros(fitted.layout.shared)
    row[list(places)] = 1.0
    return row


def _effect(fitted: Fit, shared: Floats, name: str, jobs: int) -> Effect:
    """Quantiles of the mixture over points, by the mixture's mean and variance on the log scale."""
    row = np.zeros(fitted.means.shape[1])
    row[: len(shared)] = shared
    means, variances = fitted.means @ row, row @ fitted.covariances @ row
    mean = float(fitted.weights @ means)
    sd = float(np.sqrt(fitted.weights @ (variances + (means - mean) ** 2)))
    low, median, high = (float(np.exp(mean + step * sd)) for step in (-FOUR_IN_FIVE, 0.0, FOUR_IN_FIVE))
    return Effect(name, low, median, high, jobs)


def _seen(evidence: Evidence, regressor: str, of_row: Callable[[SampleJob], bool]) -> int:
    """In how many jobs it was so."""
    every = [(pattern, sums) for (_, pattern), logs in evidence.sums.items() for sums in logs]
    plain = sum(
        sums.count(regressor) if regressor else sums.jobs * any(second for _, second in pattern)
        for pattern, sums in every
    )
    return plain + sum(of_row(job) for job in evidence.rows)
