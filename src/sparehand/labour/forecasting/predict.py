"""Draws of a job's phase times from the fitted model, correlated through technician, job and shared effects."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.random import Generator

from sparehand.labour.fitting.effect_layout import Floats, Ints, Setting
from sparehand.labour.fitting.priors import JOB, RESIDUAL, TECHNICIAN
from sparehand.labour.fitting.procedure_model import Fit
from sparehand.labour.fitting.snags import SnagBelief
from sparehand.times.sample import doublings_of
from sparehand.times.signature import Entry

LONGEST_LOG = float(np.log(1e7))
NEWCOMER_JOBS = 1.0
"""When anyone may do the job, a person never seen before counts like one who has done this many of them."""


@dataclass(frozen=True)
class PhaseAhead:
    """One phase to come. `second` is true where the phase was already done on the other side in this job."""

    phase: str
    second: bool = False


@dataclass(frozen=True)
class Moments:
    """Normal beliefs about the log seconds of phases to come, one for each way it may be.

    `mean` is (ways, phases), `covariance` (ways, phases, phases); `weights` add up to 1.
    """

    weights: Floats
    mean: Floats
    covariance: Floats


def log_moments(fit: Fit, ahead: Sequence[PhaseAhead], setting: Setting, technician: str | None) -> Moments:
    """Beliefs about the phases of one new job by `technician` (None: anyone of the shop, or someone new)."""
    parts = [(share, _for_one(fit, ahead, setting, name)) for name, share in _who(fit, technician).items() if share > 0]
    return Moments(
        np.concatenate([share * fit.weights for share, _ in parts]),
        np.concatenate([mean for _, (mean, _) in parts]),
        np.concatenate([covariance for _, (_, covariance) in parts]),
    )


def draw_work(moments: Moments, count: int, rng: Generator) -> Floats:
    """`count` draws of worked seconds without snags, shape (count, phases)."""
    chosen = _allot(moments.weights, count, rng)
    phases = moments.mean.shape[1]
    jitter = 1e-12 * np.eye(phases)
    roots = np.linalg.cholesky(moments.covariance + jitter)
    normal = rng.standard_normal((count, phases))
    logs = moments.mean[chosen] + np.einsum("cij,cj->ci", roots[chosen], normal)
    return np.asarray(np.exp(np.minimum(logs, LONGEST_LOG)), dtype=np.float64)


@dataclass(frozen=True)
class SnagDraws:
    """Seconds of snags in each draw and phase, and the number of each kind there."""

    seconds: Floats
    events: Ints
    """Rows of (draw, phase, kind), one a snag."""
    durations: Floats


def draw_snags(belief: SnagBelief, phases: Sequence[str], corrosion: str, count: int, rng: Generator) -> SnagDraws:
    """Snags of `count` draws of a job with these phases; a phase that comes twice shares its rate."""
    rates = belief.draw_rates(dict.fromkeys(phases), corrosion, count, rng)
    expected = np.stack([rates[phase] for phase in phases], axis=1)
    counts = rng.poisson(np.minimum(expected, 20.0))
    draw, place = (np.repeat(axis, counts[counts > 0]) for axis in np.nonzero(counts))
    up_to = np.cumsum([belief.kind_chances(phase) for phase in phases], axis=1)
    kind = (rng.random(len(draw))[:, None] > up_to[place, :-1]).sum(axis=1)
    durations = np.zeros(len(draw))
    for number, known in enumerate(belief.durations):
        durations[kind == number] = known.draw(int(np.sum(kind == number)), rng)
    seconds = np.zeros((count, len(phases)))
    np.add.at(seconds, (draw, place), durations)
    return SnagDraws(seconds, np.stack([draw, place, kind], axis=1), durations)


def _who(fit: Fit, technician: str | None) -> dict[str | None, float]:
    """Who may do it, with what chance; None is a person never seen."""
    if technician is not None:
        return {technician if fit.layout.knows(technician) else None: 1.0}
    jobs = fit.jobs_by or fit.shop_jobs_by
    total = sum(jobs.values()) + NEWCOMER_JOBS
    chances: dict[str | None, float] = {name: count / total for name, count in jobs.items()}
    chances[None] = NEWCOMER_JOBS / total
    return chances


def _for_one(fit: Fit, ahead: Sequence[PhaseAhead], setting: Setting, technician: str | None) -> tuple[Floats, Floats]:
    layout = fit.layout
    entries = [Entry(phase.phase, phase.second, technician or "") for phase in ahead]
    doublings = doublings_of(fit.jobs_by[technician] + 1) if technician else 0.0
    x = layout.rows(fit.procedure, [(entries, Setting(setting.corrosion, setting.support, doublings))])[0]
    variance = np.exp(2 * fit.log_sds)
    together = variance[:, JOB] + (0.0 if technician else variance[:, TECHNICIAN])
    mean = fit.means @ x.T + layout.references(fit.procedure, [entries])[0]
    covariance = x @ fit.covariances @ x.T + together[:, None, None]
    covariance = covariance + variance[:, RESIDUAL, None, None] * np.eye(len(entries))
    return mean, covariance


def _allot(weights: Floats, count: int, rng: Generator) -> Ints:
    """Systematic sampling: each way gets its share of the draws to within one."""
    edges = np.cumsum(weights)
    places = (np.arange(count) + rng.random()) / count * edges[-1]
    return np.asarray(np.searchsorted(edges, places, side="right").clip(0, len(weights) - 1), dtype=np.int64)
