"""How long is left of a running job, updated by how today goes. Pure arithmetic, light enough for the bench's loop.

Log times are normal: a phase's own part, and a part that all phases of the job share (who works, what day it is). The
phases done today tell the shared part; the sum of what is left is matched by a lognormal's mean and variance
(Fenton 1960, IRE Trans. Commun. Syst. 8:57).
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from sparehand.procedures.plan import PhaseKey

FOUR_IN_FIVE = 1.2815515655446004
TOO_SHORT = 0.08
TINY = 1e-12


@dataclass(frozen=True)
class PhaseOutlook:
    """What is believed of one phase before the job: the centre and own variance of its log seconds, snags included."""

    key: PhaseKey
    log_mean: float
    own_variance: float


@dataclass(frozen=True)
class TimeLeft:
    """Minutes of work still to do: the median, and the range of four jobs in five."""

    p10_minutes: float
    median_minutes: float
    p90_minutes: float


@dataclass(frozen=True)
class Outlook:
    """An immutable snapshot made before the job. `shared_variance` is that of the part common to all its phases."""

    phases: tuple[PhaseOutlook, ...]
    shared_variance: float

    def of(self, key: PhaseKey) -> PhaseOutlook | None:
        """What is believed of the phase, if it was foreseen."""
        return next((phase for phase in self.phases if phase.key == key), None)

    def too_short(self, key: PhaseKey, seconds: float) -> bool:
        """Whether a phase that took so little was probably ended late or early by a forgotten word."""
        phase = self.of(key)
        return phase is not None and seconds < TOO_SHORT * math.exp(phase.log_mean)

    def left(
        self, done: Mapping[PhaseKey, float], ahead: Sequence[PhaseKey], current: PhaseKey | None, elapsed: float
    ) -> TimeLeft | None:
        """What is left after the `done` phases (worked seconds), `elapsed` seconds into `current`.

        `ahead` are the phases not yet begun. None where nothing left was foreseen.
        """
        shift, variance = self._shared_after(done)
        mean = spread = 0.0
        share = 0.0
        for key in ahead:
            phase = self.of(key)
            if phase is not None:
                middle = math.exp(phase.log_mean + shift + (phase.own_variance + variance) / 2)
                mean += middle
                spread += middle**2 * math.exp(variance) * math.expm1(phase.own_variance)
                share += middle
        phase = self.of(current) if current else None
        if phase is not None:
            rest, rest_spread = _beyond(phase.log_mean + shift, phase.own_variance + variance, elapsed)
            mean, spread = mean + rest, spread + rest_spread
        if mean <= 0:
            return None
        return _matched(mean, spread + share**2 * math.expm1(variance))

    def _shared_after(self, done: Mapping[PhaseKey, float]) -> tuple[float, float]:
        """Mean and variance of the shared part, given today's finished phases; slips teach nothing."""
        if self.shared_variance <= 0:
            return 0.0, 0.0
        precision, pull = 1 / self.shared_variance, 0.0
        for key, seconds in done.items():
            phase = self.of(key)
            if phase is not None and seconds > 0 and not self.too_short(key, seconds):
                precision += 1 / phase.own_variance
                pull += (math.log(seconds) - phase.log_mean) / phase.own_variance
        return pull / precision, 1 / precision


def _matched(mean: float, variance: float) -> TimeLeft:
    log_variance = math.log1p(variance / mean**2)
    middle, reach = math.log(mean) - log_variance / 2, FOUR_IN_FIVE * math.sqrt(log_variance)
    low, median, high = (math.exp(middle + step) / 60 for step in (-reach, 0.0, reach))
    return TimeLeft(low, median, high)


def _beyond(log_mean: float, variance: float, elapsed: float) -> tuple[float, float]:
    """Mean and variance of the seconds a lognormal phase still takes once it has lasted `elapsed` seconds."""
    sd = math.sqrt(max(variance, TINY))
    mean = math.exp(log_mean + variance / 2)
    if elapsed <= 0:
        return mean, mean**2 * math.expm1(variance)
    at = (log_mean - math.log(elapsed)) / sd
    left = _normal(at)
    if left < TINY:
        rest = elapsed * sd / max(-at, 1.0)
        return rest, rest**2
    first = mean * _normal(at + sd) / left
    second = mean**2 * math.exp(variance) * _normal(at + 2 * sd) / left
    return max(first - elapsed, 0.0), max(second - first**2, 0.0)


def _normal(z: float) -> float:
    return 0.5 * math.erfc(-z / math.sqrt(2))
