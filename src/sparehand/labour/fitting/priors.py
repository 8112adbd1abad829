"""What is believed before a shop has times: how plans miss, how phases, people and days differ."""

from __future__ import annotations

from dataclasses import dataclass

GROUPS = ("procedure", "phase", "technician", "job", "residual", "drift", "unplanned", "own learning")
"""The spreads that are learned, in the order in which arrays hold them."""

PROCEDURE, PHASE, TECHNICIAN, JOB, RESIDUAL, DRIFT, UNPLANNED, OWN_LEARNING = range(8)


@dataclass(frozen=True)
class Normal:
    """A normal belief."""

    mean: float
    sd: float


@dataclass(frozen=True)
class Priors:
    """Beliefs on the scale of log(worked seconds / planned seconds).

    The effects are normal; the spreads have normal logs. The values were set from plausible ranges of workshop
    practice, not from published data: no published spread of a fixed vehicle task about its plan was found.
    """

    shop: Normal = Normal(0.0, 0.25)
    corroded: Normal = Normal(0.1, 0.1)
    heavy: Normal = Normal(0.2, 0.12)
    """What heavy corrosion takes more than light; neither is believed to save time."""
    stands: Normal = Normal(0.05, 0.08)
    second: Normal = Normal(-0.03, 0.1)
    learning: Normal = Normal(-0.03, 0.08)
    spread_medians: tuple[float, ...] = (0.08, 0.35, 0.14, 0.12, 0.22, 0.006, 0.8, 0.03)
    """Drift for the root of a day; a phase without a plan about a typical time; own learning for a doubling."""
    spread_log_sds: tuple[float, ...] = (0.6, 0.35, 0.45, 0.6, 0.75, 1.2, 0.5, 0.8)
    phase_log_sd: float = 0.8
    """How much the logs of the residual spreads of phases differ."""
    total_log_sd_below: float = 0.24
    total_log_sd_above: float = 0.64
    """Spread of a whole job about its plan where nothing has been timed, on either side of the plan.

    A plan leaves out snags and the skew of times, so running over reaches further: four in five jobs lie between 0.74
    and 2.27 times the plan (log sd about 0.45 all in all).
    """

    def shared(self) -> tuple[Normal, ...]:
        """The effects that every phase time of the shop may share, in the order of `SHARED`."""
        return (self.shop, self.corroded, self.heavy, self.stands, self.second, self.learning)


SHARED = ("shop", "corroded", "heavy", "stands", "second", "learning")
SHOP, CORRODED, HEAVY, STANDS, SECOND, LEARNING = range(6)
