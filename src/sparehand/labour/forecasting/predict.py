"""Draws of a job's phase times from the fitted model, correlated through technician, job and shared effects."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from scipy.special import ndtr, ndtri

from sparehand.labour.fitting.arrays import Floats, Ints
from sparehand.labour.fitting.effect_layout import Setting
from sparehand.labour.fitting.priors import CORRODED, DRIFT, HEAVY, JOB, RESIDUAL, STANDS, TECHNICIAN
from sparehand.labour.fitting.procedure_model import Fit
from sparehand.labour.fitting.snags import LEVELS, SnagBelief
from sparehand.times.pattern_sums import ALL, LEARNING
from sparehand.times.sample import doublings_of

LONGEST_LOG = float(np.log(1e7))
NEWCOMER_JOBS = 1.0
"""When anyone may do the job, a person never seen before counts like one who has done this many of them."""


@dataclass(frozen=True)
class PhaseAhead:
    """One phase to come. `second` is true where the phase was already done on the other side in this job."""

    phase: str
    second: bool = False


@dataclass(frozen=True)
class Conditions:
    """The circumstances of each draw of a job: the level of corrosion (0, 1, 2), and whether on stands."""

    corrosion: Ints
    stands: Ints


@dataclass(frozen=True)
class Moments:
    """Normal beliefs about the log seconds of phases to come on a clean vehicle on a lift, one for each way it may be.

    `mean` is (ways, phases), `covariance` (ways, phases, phases) without what phases differ by of their own, whose log
    sds have the quantiles `log_sds` (ways, phases, 40). `condition_mean` (ways, 3), `condition_covariance` (ways, 3, 3)
    and `across` (ways, phases, 3) are of the effects of any corrosion, of heavy more than light, and of stands.
    """

    weights: Floats
    mean: Floats
    covariance: Floats
    log_sds: Floats
    condition_mean: Floats
    condition_covariance: Floats
    across: Floats


CONDITION_EFFECTS = [CORRODED, HEAVY, STANDS]
NEVER_BELOW_ZERO = 2
"""So many of these effects are never taken to save time: corrosion."""


def draw_conditions(fit: Fit, setting: Setting, count: int, rng: Generator) -> Conditions:
    """The conditions of `count` draws; those that are unknown as they are elsewhere in the shop."""
    shares = fit.layout.shares
    corrosion, support = rng.random(count), rng.random(count)
    if setting.corrosion == "unknown":
        levels = (corrosion < shares.light + shares.heavy).astype(np.int64) + (corrosion < shares.heavy)
    else:
        levels = np.full(count, LEVELS.index(setting.corrosion))
    known = np.full(count, setting.support == "stands")
    stands = support < shares.stands if setting.support == "unknown" else known
    return Conditions(levels, stands.astype(np.int64))


def log_moments(fit: Fit, ahead: Sequence[PhaseAhead], setting: Setting, technician: str | None) -> Moments:
    """Beliefs about the phases of one new job by `technician` (None: anyone of the shop, or someone new)."""
    parts = [(share, _for_one(fit, ahead, setting, name)) for name, share in _who(fit, technician).items() if share > 0]
    joined = (np.concatenate(some) for some in zip(*(part for _, part in parts), strict=True))
    return Moments(np.concatenate([share * fit.weights for share, _ in parts]), *joined)


def draw_work(moments: Moments, phases: Sequence[str], conditions: Conditions, rng: Generator) -> Floats:
    """Draws of worked seconds without snags, shape (draws, phases); the same phase has the same spread in a draw.

    More corrosion never makes a draw shorter.
    """
    count = len(conditions.corrosion)
    chosen = _allot(moments.weights, count, rng)
    effects = _draw_effects(moments, chosen, rng)
    inverse = np.linalg.inv(moments.condition_covariance + 1e-12 * np.eye(len(CONDITION_EFFECTS)))
    gain = moments.across @ inverse
    rest = moments.covariance - gain @ np.swapaxes(moments.across, 1, 2)
    values, vectors = np.linalg.eigh(rest)
    roots = vectors * np.sqrt(np.maximum(values, 0.0))[:, None, :]
    logs = moments.mean[chosen] + np.einsum("cij,cj->ci", roots[chosen], rng.standard_normal((count, len(phases))))
    logs += np.einsum("cij,cj->ci", gain[chosen], effects - moments.condition_mean[chosen])
    place = [list(dict.fromkeys(phases)).index(phase) for phase in phases]
    pick = rng.integers(0, moments.log_sds.shape[2], (count, len(set(phases))))[:, place]
    spreads = moments.log_sds[chosen[:, None], np.arange(len(phases)), pick]
    logs += np.exp(spreads) * rng.standard_normal((count, len(phases)))
    present = np.stack([conditions.corrosion >= 1, conditions.corrosion >= 2, conditions.stands], axis=1)
    logs += (effects * present).sum(axis=1)[:, None]
    return np.asarray(np.exp(np.minimum(logs, LONGEST_LOG)), dtype=np.float64)


def _draw_effects(moments: Moments, chosen: Ints, rng: Generator) -> Floats:
    """The effects of conditions (draws, 3), one given those before it; what cannot save time is cut off at zero."""
    roots = np.linalg.cholesky(moments.condition_covariance + 1e-12 * np.eye(len(CONDITION_EFFECTS)))[chosen]
    mean, standard = moments.condition_mean[chosen], np.zeros((len(chosen), len(CONDITION_EFFECTS)))
    even = rng.random(standard.shape)
    drawn = np.zeros_like(standard)
    for place in range(standard.shape[1]):
        centre = mean[:, place] + np.einsum("cj,cj->c", roots[:, place, :place], standard[:, :place])
        sd = roots[:, place, place]
        least = ndtr(-centre / sd) if place < NEVER_BELOW_ZERO else np.zeros(len(chosen))
        standard[:, place] = ndtri(np.clip(least + even[:, place] * (1 - least), 1e-12, 1 - 1e-12))
        drawn[:, place] = centre + sd * standard[:, place]
    drawn[:, :NEVER_BELOW_ZERO] = np.maximum(drawn[:, :NEVER_BELOW_ZERO], 0.0)
    return drawn


@dataclass(frozen=True)
class SnagDraws:
    """Seconds of snags in each draw and phase, and the number of each kind there."""

    seconds: Floats
    events: Ints
    """Rows of (draw, phase, kind), one a snag."""
    durations: Floats


def draw_snags(belief: SnagBelief, phases: Sequence[str], levels: Ints, rng: Generator) -> SnagDraws:
    """Snags of each draw of a job with these phases; a phase that comes twice shares its rate.

    They are drawn for heavy corrosion and thinned for less, so that more corrosion never means fewer in a draw.
    """
    count = len(levels)
    rates, shares = belief.draw_rates(dict.fromkeys(phases), levels, rng)
    expected = np.stack([rates[phase] for phase in phases], axis=1)
    counts = rng.poisson(np.minimum(expected, 20.0))
    draw, place = (np.repeat(axis, counts[counts > 0]) for axis in np.nonzero(counts))
    up_to = np.cumsum([belief.kind_chances(phase) for phase in phases], axis=1)
    kind = (rng.random(len(draw))[:, None] > up_to[place, :-1]).sum(axis=1)
    durations = np.zeros(len(draw))
    for number, known in enumerate(belief.durations):
        durations[kind == number] = known.draw(int(np.sum(kind == number)), rng)
    real = rng.random(len(draw)) < shares[draw]
    draw, place, kind, durations = draw[real], place[real], kind[real], durations[real]
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


def _for_one(
    fit: Fit, ahead: Sequence[PhaseAhead], setting: Setting, technician: str | None
) -> tuple[Floats, Floats, Floats, Floats, Floats, Floats]:
    layout = fit.layout
    pattern = tuple((phase.phase, phase.second) for phase in ahead)
    doublings = doublings_of(fit.jobs_by[technician] + 1) if technician else 0.0
    x = layout.phase_rows(fit.procedure, pattern)
    x[:, : layout.shared] += np.array([1.0, doublings]) @ layout.regressors([ALL, LEARNING])
    if technician:
        x[:, : layout.shared] += layout.of_person(technician, doublings)
    x[:, layout.changes] = layout.blocks.ahead(setting.days_ahead)
    variance = np.exp(2 * fit.log_sds)
    together = variance[:, JOB] + (0.0 if technician else variance[:, TECHNICIAN])
    together = together + variance[:, DRIFT] * (layout.blocks.lag_days + setting.days_ahead)
    covariance = x @ fit.covariances
    spreads = fit.spreads.log_sd_quantiles(fit.log_sds[:, RESIDUAL])
    return (
        fit.means @ x.T + layout.references(fit.procedure, pattern),
        covariance @ x.T + together[:, None, None],
        spreads[:, layout.places(fit.procedure, pattern)],
        fit.means[:, CONDITION_EFFECTS],
        fit.covariances[:, CONDITION_EFFECTS][:, :, CONDITION_EFFECTS],
        covariance[:, :, CONDITION_EFFECTS],
    )


def _allot(weights: Floats, count: int, rng: Generator) -> Ints:
    """Systematic sampling: each way gets its share of the draws to within one."""
    edges = np.cumsum(weights)
    places = (np.arange(count) + rng.random()) / count * edges[-1]
    return np.asarray(np.searchsorted(edges, places, side="right").clip(0, len(weights) - 1), dtype=np.int64)
