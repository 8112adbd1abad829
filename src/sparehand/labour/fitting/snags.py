"""Snags apart from the work: how often, by phase and corrosion, and how long, by kind.

Counts are Poisson with a gamma rate for each phase; what the phases share (typical rate, how alike phases are, what
corrosion does) lies on a small grid whose evidence is in closed form. Log durations are normal with a
normal-inverse-gamma belief for each kind. The prior values are this project's own.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import product

import numpy as np
from numpy.random import Generator
from scipy.special import gammaln

from sparehand.labour.evidence.shop_evidence import Evidence, LogSums
from sparehand.labour.fitting.arrays import Floats, Ints
from sparehand.labour.fitting.effect_layout import ConditionShares

KINDS = ("seized", "stripped", "broken", "no access")
LEVELS = ("none", "light", "heavy")
USUAL_LEVELS = (2.5, 1.5, 1.0)
"""How many phases' worth it is believed beforehand that so many are of each level, of vehicles nobody has looked at."""
USUAL_SUPPORT_JOBS, USUAL_STANDS = 5.0, 0.2
LONGEST_SECONDS = 36_000.0
RATES = (0.004, 0.01, 0.02, 0.04, 0.08, 0.16, 0.3)
LIKENESS = (0.4, 1.0, 3.0)
HEAVY = (1.0, 1.7, 3.0, 5.0)
TYPICAL_RATE, RATE_LOG_SD = 0.03, 1.0
TYPICAL_HEAVY, HEAVY_LOG_SD = 2.5, 0.6
PHASE_TRUST = 4.0


@dataclass(frozen=True)
class Durations:
    """Belief about the log seconds of one kind of snag (normal-inverse-gamma); before any, about ten minutes."""

    centre: float = math.log(600.0)
    kappa: float = 1.0
    shape: float = 2.5
    rate: float = 1.0

    def after(self, logs: LogSums) -> Durations:
        """The belief after some log durations were seen (DeGroot 1970, section 9.6)."""
        kappa = self.kappa + logs.count
        scatter = logs.scatter + self.kappa * logs.count * (logs.mean - self.centre) ** 2 / kappa
        centre = (self.kappa * self.centre + logs.count * logs.mean) / kappa
        return Durations(centre, kappa, self.shape + logs.count / 2, self.rate + scatter / 2)

    def draw(self, count: int, rng: Generator) -> Floats:
        """Seconds of `count` snags, capped at ten hours."""
        scale = math.sqrt(self.rate * (1 + 1 / self.kappa) / self.shape)
        logs = self.centre + scale * rng.standard_t(2 * self.shape, count)
        return np.minimum(np.exp(np.minimum(logs, math.log(LONGEST_SECONDS))), LONGEST_SECONDS)


@dataclass(frozen=True)
class SnagBelief:
    """What is believed about the snags of one procedure's phases.

    The grid points carry `weights` (which add up to 1), a typical `rate`, a `likeness` of phases and the factor of
    `heavy` corrosion (light has its square root). `counts` and `exposure` are by phase.
    """

    weights: Floats
    rates: Floats
    likeness: Floats
    heavy: Floats
    counts: Mapping[str, float]
    exposure: Mapping[str, Floats]
    kinds: tuple[str, ...]
    kind_shares: Floats
    kind_counts: Mapping[str, Floats]
    durations: tuple[Durations, ...]

    def draw_rates(self, phases: Iterable[str], levels: Ints, rng: Generator) -> tuple[dict[str, Floats], Floats]:
        """For each draw the number of snags expected in each phase on a heavily corroded vehicle.

        And the share of them that comes on a vehicle of the draw's level (0, 1, 2) of corrosion: never less on more.
        """
        count = len(levels)
        point = rng.permutation(np.repeat(np.arange(len(self.weights)), rng.multinomial(count, self.weights)))
        factors = _factors(self.heavy)
        drawn = {}
        for phase in phases:
            shape = self.likeness + self.counts.get(phase, 0.0)
            inverse = self.likeness / self.rates + self.exposure.get(phase, np.zeros(3)) @ factors
            drawn[phase] = rng.standard_gamma(shape[point]) * (factors[2] / inverse)[point]
        return drawn, factors[levels, point] / factors[2, point]

    def kind_chances(self, phase: str) -> Floats:
        """The chance of each of `kinds`, given a snag in the phase."""
        weights = PHASE_TRUST * self.kind_shares + self.kind_counts.get(phase, 0.0)
        return np.asarray(weights / weights.sum(), dtype=np.float64)


@dataclass(frozen=True)
class ShopSnags:
    """What the whole shop's snags say: weights of the grid points (rate, likeness, heavy), and the kinds."""

    weights: Floats
    kinds: tuple[str, ...]
    kind_shares: Floats
    durations: tuple[Durations, ...]


def believe_shop_snags(evidence: Evidence) -> ShopSnags:
    """What the evidence of the whole shop leaves to believe about snags anywhere."""
    counts, exposure = _tally(evidence)
    kinds = tuple(dict.fromkeys((*KINDS, *(snag.kind for snag in evidence.snags))))
    shares = np.ones(len(kinds))
    for snag, count in evidence.snags.items():
        shares[kinds.index(snag.kind)] += count
    return ShopSnags(
        weights=_weights(counts, exposure, *_grid()),
        kinds=kinds,
        kind_shares=shares / shares.sum(),
        durations=tuple(Durations().after(evidence.snag_logs.get(kind, LogSums())) for kind in kinds),
    )


def believe_snags(shop: ShopSnags, own: Evidence) -> SnagBelief:
    """What is left to believe about snags in the phases of the procedure whose evidence `own` is."""
    counts, exposure = _tally(own)
    rates, likeness, heavy = _grid()
    kind_counts: dict[str, Floats] = {}
    for snag, count in own.snags.items():
        of_phase = kind_counts.setdefault(snag.at.phase, np.zeros(len(shop.kinds)))
        of_phase[shop.kinds.index(snag.kind)] += count
    return SnagBelief(
        weights=shop.weights,
        rates=rates,
        likeness=likeness,
        heavy=heavy,
        counts={phase: float(some.sum()) for (_, phase), some in counts.items()},
        exposure={phase: some for (_, phase), some in exposure.items()},
        kinds=shop.kinds,
        kind_shares=shop.kind_shares,
        kind_counts=kind_counts,
        durations=shop.durations,
    )


def _grid() -> tuple[Floats, Floats, Floats]:
    rates, likeness, heavy = (np.array(axis) for axis in zip(*product(RATES, LIKENESS, HEAVY), strict=True))
    return rates, likeness, heavy


Tally = dict[tuple[str, str], Floats]


def condition_shares(evidence: Evidence) -> ConditionShares:
    """How common conditions are among the jobs of which they are known."""
    levels = dict(zip(LEVELS, USUAL_LEVELS, strict=True))
    supports = {"lift": USUAL_SUPPORT_JOBS * (1 - USUAL_STANDS), "stands": USUAL_SUPPORT_JOBS * USUAL_STANDS}
    for at, count in evidence.worked.items():
        if at.corrosion in levels:
            levels[at.corrosion] += count
    for support, count in evidence.supports.items():
        if support in supports:
            supports[support] += count
    everything = sum(levels.values())
    stands = supports["stands"] / sum(supports.values())
    return ConditionShares(levels["light"] / everything, levels["heavy"] / everything, stands)


def _tally(evidence: Evidence) -> tuple[Tally, Tally]:
    """Snags, and times a phase was worked, by (procedure, phase) and level of corrosion; unknown ones are dealt out."""
    shares = condition_shares(evidence)
    unknown = np.array([1 - shares.light - shares.heavy, shares.light, shares.heavy])
    level = dict(zip(LEVELS, np.eye(3), strict=True)) | {"unknown": unknown}
    counts: Tally = {}
    exposure: Tally = {}
    for at in (*evidence.worked, *(snag.at for snag in evidence.snags)):
        counts.setdefault((at.procedure, at.phase), np.zeros(3))
        exposure.setdefault((at.procedure, at.phase), np.zeros(3))
    for at, count in evidence.worked.items():
        exposure[at.procedure, at.phase] += count * level[at.corrosion]
    for snag, count in evidence.snags.items():
        counts[snag.at.procedure, snag.at.phase] += count * level[snag.at.corrosion]
    return counts, exposure


def _factors(heavy: Floats) -> Floats:
    return np.array([np.ones_like(heavy), np.sqrt(heavy), heavy])


def _weights(counts: Tally, exposure: Tally, rates: Floats, likeness: Floats, heavy: Floats) -> Floats:
    logs = -0.5 * ((np.log(rates) - math.log(TYPICAL_RATE)) / RATE_LOG_SD) ** 2
    logs -= 0.5 * ((np.log(heavy) - math.log(TYPICAL_HEAVY)) / HEAVY_LOG_SD) ** 2
    if counts:
        factors, inverse = _factors(heavy), (likeness / rates)[None, :]
        seen, exposed = np.array(list(counts.values())), np.array(list(exposure.values()))
        shape = likeness[None, :] + seen.sum(axis=1)[:, None]
        terms = (
            gammaln(shape)
            - gammaln(likeness)
            + likeness * np.log(inverse)
            - shape * np.log(inverse + exposed @ factors)
        )
        logs += terms.sum(axis=0) + seen.sum(axis=0) @ np.log(factors)
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum(), dtype=np.float64)
