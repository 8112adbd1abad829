"""One forecast for a run: draws of worked seconds and snag seconds by phase, and what they lean on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.fitting.arrays import Floats, Ints
from sparehand.labour.fitting.belief import Belief, believe_shop
from sparehand.labour.fitting.effect_layout import Setting
from sparehand.labour.fitting.holds import ENOUGH_JOBS, Delay, delay_of
from sparehand.labour.fitting.priors import PHASE, RESIDUAL, Priors
from sparehand.labour.fitting.procedure_model import Fit, fit
from sparehand.labour.fitting.snags import SnagBelief, believe_snags
from sparehand.labour.forecasting.predict import PhaseAhead, draw_conditions, draw_snags, draw_work, log_moments
from sparehand.labour.forecasting.quoted_phases import Need
from sparehand.labour.forecasting.widening import Widening
from sparehand.times.sample import Plans

DRAWS = 16_384
SEED = 20_240_229


@dataclass(frozen=True)
class Knowledge:
    """What the shop's evidence teaches about one procedure; made once, used for any number of forecasts."""

    fit: Fit
    snags: SnagBelief
    delay: Delay
    widening: Widening = Widening()  # noqa: RUF009 - immutable


@dataclass(frozen=True)
class Forecast:
    """Draws for a run: `work` and `snags` in seconds, shape (draws, phases); `events` rows of (draw, phase, kind)."""

    needs: tuple[Need, ...]
    work: Floats
    snags: Floats
    events: Ints
    durations: Floats
    kinds: tuple[str, ...]

    @property
    def total_hours(self) -> Floats:
        """The labour hours of each draw."""
        return np.asarray((self.work + self.snags).sum(axis=1) / 3600, dtype=np.float64)


def learn(evidence: Evidence, procedure: str, phases: Iterable[str], plans: Plans, priors: Priors) -> Knowledge:
    """What the shop's evidence teaches about the procedure, whose `phases` may or may not have been timed."""
    return recall(believe_shop(evidence, plans, priors), evidence.of(procedure), procedure, phases, plans, priors)


def recall(
    belief: Belief, own: Evidence, procedure: str, phases: Iterable[str], plans: Plans, priors: Priors
) -> Knowledge:
    """The same from what is believed of the shop and the procedure's `own` evidence, which is part of the shop's."""
    enough = own.all_jobs >= ENOUGH_JOBS
    return Knowledge(
        fit=fit(belief, own, procedure, tuple(dict.fromkeys(phases)), plans, priors),
        snags=believe_snags(belief.snags, own),
        delay=delay_of(own.all_jobs, own.held_logs.values()) if enough else belief.delay,
    )


def forecast(
    known: Knowledge, needs: Sequence[Need], setting: Setting, technician: str | None, draws: int = DRAWS
) -> Forecast:
    """Draws for one new job with these phases; the seed is fixed, so the same question gets the same answer."""
    rng = np.random.default_rng(SEED)
    phases = [need.key.phase for need in needs]
    conditions = draw_conditions(known.fit, setting, draws, rng)
    moments = log_moments(known.fit, [PhaseAhead(need.key.phase, need.second) for need in needs], setting, technician)
    work = draw_work(moments, phases, conditions, rng)
    snags = draw_snags(known.snags, phases, conditions.corrosion, rng)
    return Forecast(tuple(needs), work, snags.seconds, snags.events, snags.durations, known.snags.kinds)


def forecast_plan(
    needs: Sequence[Need],
    procedure: str,
    plans: Plans,
    setting: Setting,
    priors: Priors,
    extra: Sequence[Need] = (),
) -> Forecast:
    """The plan with the default spread about the total of `needs`; snags are inside that spread. `extra` comes on top.

    Corrosion and stands move it by what is believed of them beforehand, for a plan speaks of a clean vehicle on a lift.
    """
    rng = np.random.default_rng(SEED)
    planned = np.array([plans.reference(procedure, need.key.phase) for need in (*needs, *extra)])
    shift = (setting.corrosion in ("light", "heavy")) * priors.corroded.mean
    shift += (setting.corrosion == "heavy") * priors.heavy.mean + (setting.support == "stands") * priors.stands.mean
    half = np.abs(rng.standard_normal(DRAWS // 2))
    common = np.exp(shift + np.concatenate([priors.total_log_sd_above * half, -priors.total_log_sd_below * half]))
    shares = planned * np.exp(_own_sd(priors) * rng.standard_normal((DRAWS, len(planned))))
    run = slice(0, len(needs))
    shares[:, run] *= planned[run].sum() / shares[:, run].sum(axis=1, keepdims=True)
    work = np.minimum(shares * common[:, None], 1e7)
    nothing = np.zeros((0, 3), dtype=np.int64)
    return Forecast((*needs, *extra), work, np.zeros_like(work), nothing, np.zeros(0), ())


def _own_sd(priors: Priors) -> float:
    return float(np.hypot(priors.spread_medians[PHASE], priors.spread_medians[RESIDUAL]))
