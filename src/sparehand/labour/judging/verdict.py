"""What the forecasts of past jobs say: whether they held, who forecast best, and what an owner should do about it."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import chdtri, ndtri

from sparehand.ground.plurals import are, how_many
from sparehand.labour.forecasting.widening import Widening
from sparehand.labour.judging.rivals import RIVALS
from sparehand.labour.judging.scores import binomial_limits

OURS = "this model"
ENOUGH_JOBS = 20
"""Fewer past forecasts say nothing for sure."""
RANGE = 0.8
BEYOND_CHANCE = 3.0
"""Standard errors from which forecasts count as too low or too high; they share a fit, so two are not enough."""
ONE_IN_A_HUNDRED = 0.01
LEAST, WIDEST, STRENGTH = 1.15, 2.5, 4.0
"""Ranges that failed grow within these; so many forecasts that held are added to those made: few widen little."""
AHEAD = 2.5
"""Standard errors by which the best of the rivals has to be ahead; it is the best of several by chance, too."""


@dataclass(frozen=True)
class Judged:
    """One job's forecast, judged: where the outcome fell (0 to 1), and the losses of each forecast by name."""

    place: float
    crps: dict[str, float]
    pinball: dict[str, float]


@dataclass(frozen=True)
class Findings:
    """How past forecasts did: the share inside their 80 % range, how far off on a normal scale, what was wrong."""

    jobs: int
    held: float
    spread: float
    too_sure: bool
    off: str
    """"longer" or "shorter" where jobs took that beyond chance; "" otherwise."""
    rival: str
    """A rival that forecast better beyond chance; "" otherwise."""

    @property
    def failing(self) -> bool:
        """Whether a quote by these forecasts needs a warning."""
        return self.too_sure or bool(self.off or self.rival)


def findings(judged: Sequence[Judged]) -> Findings:
    """What is beyond chance in past forecasts; nothing with too few."""
    count = len(judged)
    scores = np.clip(ndtri([min(max(row.place, 1e-3), 1 - 1e-3) for row in judged]), -4, 4)
    held = float(np.mean([abs(row.place - 0.5) <= RANGE / 2 for row in judged]))
    spread = math.sqrt((float(scores @ scores) + STRENGTH) / (count + STRENGTH))
    if count < ENOUGH_JOBS:
        return Findings(count, held, spread, False, "", "")
    low, _ = binomial_limits(RANGE, count)
    too_sure = held < low or float(scores @ scores) > float(chdtri(count, ONE_IN_A_HUNDRED))
    pull = float(scores.mean()) * math.sqrt(count)
    off = "" if abs(pull) < BEYOND_CHANCE else "longer" if pull > 0 else "shorter"
    rival, gap = best_rival(judged)
    return Findings(count, held, spread, too_sure, off, rival if gap < -AHEAD else "")


def best_rival(judged: Sequence[Judged]) -> tuple[str, float]:
    """The rival with the lowest mean CRPS, and how many standard errors (paired) it is worse than the model."""
    losses = {name: np.array([row.crps[name] for row in judged]) for name in (OURS, *RIVALS)}
    best = min(RIVALS, key=lambda rival: float(losses[rival].mean()))
    gap = losses[best] - losses[OURS]
    error = float(gap.std(ddof=1)) / math.sqrt(len(gap)) if len(gap) > 1 else math.inf
    return best, float(gap.mean()) / error if error else 0.0


def widening_of(judged: Sequence[Judged]) -> Widening:
    """By how much a quote widens because of past forecasts, and the line that says so."""
    found = findings(judged)
    if not found.failing:
        return Widening()
    factor = min(WIDEST, max(found.spread, LEAST if found.held <= RANGE else 1.0))
    wrong = []
    if found.too_sure:
        wrong.append(f"only {found.held:.0%} fell inside the range meant for 80%")
    if found.off:
        wrong.append(f"they took {found.off} than forecast, beyond chance")
    if found.rival:
        wrong.append(f"'{found.rival}' forecast them better, beyond chance")
    widened = f"; the range here is widened by {factor:.2f}" if factor > 1 else ""
    return Widening(
        factor, f"Of the last {how_many(found.jobs, 'job')}, {' and '.join(wrong)}{widened}. See `sparehand backtest`."
    )


def advice(judged: Sequence[Judged]) -> str:
    """One sentence for an owner."""
    found = findings(judged)
    if found.jobs < ENOUGH_JOBS:
        return f"Time more jobs before you rely on this: {found.jobs} are too few, {ENOUGH_JOBS} begin to tell."
    if found.off:
        return f"Look for what has changed and check the latest times, for jobs took {found.off} than forecast."
    if found.too_sure:
        return "Quote at a smaller risk, such as --risk 0.15, for jobs differed more than the forecasts said."
    if found.rival:
        return f"Compare each quote with '{found.rival}' before you give it, for it forecast your jobs better."
    return "Quote by these figures: they held about as often as they said, and nothing simpler did better for sure."


def verdict(judged: Sequence[Judged]) -> str:
    """Who forecast best, and whether the difference is more than chance (paired, two standard errors)."""
    few = f" {how_many(len(judged), 'job')} {are(len(judged))} too few to be sure." if len(judged) < ENOUGH_JOBS else ""
    best, errors = best_rival(judged)
    ours, theirs = (float(np.mean([row.crps[name] for row in judged])) for name in (OURS, best))
    figures = f"mean CRPS {ours:.3f} h against {theirs:.3f} h"
    if ours <= theirs:
        clearly = "more than chance" if abs(errors) > 2 else "which may be chance"
        return f"No rival did better: the nearest, '{best}', was worse ({figures}), {clearly}.{few}"
    clearly = "and by more than chance: compare with it" if abs(errors) > 2 else "though that may be chance"
    return f"A rival wins: '{best}' forecast better ({figures}), {clearly}.{few}"
