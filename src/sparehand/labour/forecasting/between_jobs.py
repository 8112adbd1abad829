"""What the hours of different jobs have in common: how the shop's plans miss, and who does the work."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sparehand.labour.fitting.arrays import Floats
from sparehand.labour.fitting.belief import Belief
from sparehand.labour.fitting.effect_layout import Layout
from sparehand.labour.fitting.priors import SHOP, TECHNICIAN, Priors
from sparehand.times.sample import Plans, doublings_of


@dataclass(frozen=True)
class CommonVariance:
    """Variance of the log hours that any two jobs of the shop share, and more of it that those of one person share."""

    shop: float
    person: float


def common_variance(belief: Belief, technician: str | None, priors: Priors | None = None) -> CommonVariance:
    """What two jobs have in common; `technician` is None for anyone or for a person never seen."""
    priors = priors or Priors()
    if not belief.jobs:
        return CommonVariance(priors.shop.sd**2, priors.spread_medians[TECHNICIAN] ** 2)
    points = belief.points
    level = np.zeros(points.mean.shape[1])
    level[SHOP] = 1.0
    layout = Layout(belief.technicians, {}, Plans({}), priors, belief.blocks)
    level[layout.changes] = belief.blocks.ahead(0.0)
    shop = _variance(belief, level)
    if technician not in belief.technicians:
        return CommonVariance(shop, float(belief.weights @ np.exp(2 * points.log_sds[:, TECHNICIAN])))
    level += layout.of_person(technician, doublings_of(belief.jobs_by[technician]))
    return CommonVariance(shop, max(0.0, _variance(belief, level) - shop))


def _variance(belief: Belief, row: Floats) -> float:
    """Variance of a sum of effects, as a mixture over the points."""
    means = belief.points.mean @ row
    variances = belief.points.covariance @ row @ row
    return float(belief.weights @ (variances + (means - belief.weights @ means) ** 2))
