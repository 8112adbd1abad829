"""What the hours of different jobs have in common: how the shop's plans miss, and who does the work."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sparehand.labour.fitting.arrays import Floats
from sparehand.labour.fitting.belief import Belief
from sparehand.labour.fitting.priors import SHARED, SHOP, TECHNICIAN, Priors


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
    shop = _variance(belief, points.covariance[:, SHOP, SHOP], points.mean[:, SHOP])
    if technician not in belief.technicians:
        return CommonVariance(shop, float(belief.weights @ np.exp(2 * points.log_sds[:, TECHNICIAN])))
    both = [SHOP, len(SHARED) + belief.technicians.index(technician)]
    covariance = points.covariance[:, both][:, :, both].sum(axis=(1, 2))
    return CommonVariance(shop, max(0.0, _variance(belief, covariance, points.mean[:, both].sum(axis=1)) - shop))


def _variance(belief: Belief, variances: Floats, means: Floats) -> float:
    """Variance of a mixture over the points."""
    centre = belief.weights @ means
    return float(belief.weights @ (variances + (means - centre) ** 2))
