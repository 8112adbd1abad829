"""Where each effect has its place in the equations: shared ones first, then those of one procedure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from sparehand.labour.fitting.arrays import Floats, Ints
from sparehand.labour.fitting.priors import (
    CORRODED,
    DRIFT,
    HEAVY,
    LEARNING,
    OWN_LEARNING,
    PHASE,
    PROCEDURE,
    SECOND,
    SHARED,
    SHOP,
    STANDS,
    TECHNICIAN,
    UNPLANNED,
    Priors,
)
from sparehand.labour.fitting.time_blocks import TimeBlocks
from sparehand.times import pattern_sums
from sparehand.times.pattern_sums import PERSON, TIME, Pattern, time_cell
from sparehand.times.sample import Plans

FIXED, PADDING = -1, -2
NO_BLOCKS = TimeBlocks((), (), 0)


@dataclass(frozen=True)
class Setting:
    """The circumstances that all phases of a job share."""

    corrosion: str = "none"
    support: str = "lift"
    days_ahead: float = 7.0
    """After the newest job; a quote is for a job of the next fortnight."""


@dataclass(frozen=True)
class ConditionShares:
    """How common conditions are in this shop: what a job whose conditions nobody said is taken to have had."""

    light: float = 0.3
    heavy: float = 0.2
    stands: float = 0.2


@dataclass(frozen=True)
class Layout:
    """The order of the effects: conditions, technicians, their learning, drift; a procedure's offset and its phases."""

    technicians: tuple[str, ...]
    phases: Mapping[str, tuple[str, ...]]
    plans: Plans
    priors: Priors
    blocks: TimeBlocks = NO_BLOCKS
    shares: ConditionShares = ConditionShares()

    @cached_property
    def procedures(self) -> tuple[str, ...]:
        """The procedures, in the order of the blocks of effects."""
        return tuple(self.phases)

    @property
    def shared(self) -> int:
        """How many effects all procedures share."""
        return len(SHARED) + 2 * len(self.technicians) + len(self.blocks.starts)

    @property
    def changes(self) -> slice:
        """The places of the steps and the trend of drift."""
        return slice(self.shared - len(self.blocks.starts), self.shared)

    @cached_property
    def own(self) -> int:
        """How many effects the largest procedure has of its own."""
        return 1 + max((len(phases) for phases in self.phases.values()), default=0)

    @cached_property
    def _technician_place(self) -> dict[str, int]:
        kinds = [kind + name for kind in (PERSON, pattern_sums.OWN_LEARNING) for name in self.technicians]
        return {name: len(SHARED) + place for place, name in enumerate(kinds)}

    def knows(self, technician: str) -> bool:
        """Whether the technician has an effect here."""
        return technician in self.technicians

    def regressors(self, names: Sequence[str]) -> Floats:
        """The shared effects of each named regressor of `pattern_sums`, shape (names, shared effects).

        A technician without an effect here gets none.
        """
        rows = np.zeros((len(names), self.shared))
        for row, name in zip(rows, names, strict=True):
            if name.startswith((PERSON, pattern_sums.OWN_LEARNING)):
                place = self._technician_place.get(name)
                if place is not None:
                    row[place] = 1.0
            elif name.startswith(TIME):
                row[self.changes] = self.blocks.changes(time_cell(name).at(self.blocks.latest).middle)
            else:
                for place, value in self._conditions[name].items():
                    row[place] = value
        return rows

    def of_person(self, technician: str, doublings: float) -> Floats:
        """What a person adds to the shared effects after so many doublings of repetition, shape (shared effects)."""
        own = [PERSON + technician, pattern_sums.OWN_LEARNING + technician]
        return np.asarray(np.array([1.0, doublings]) @ self.regressors(own), dtype=np.float64)

    @cached_property
    def _conditions(self) -> dict[str, dict[int, float]]:
        shares = self.shares
        return {
            pattern_sums.ALL: {SHOP: 1.0},
            pattern_sums.LIGHT: {CORRODED: 1.0},
            pattern_sums.HEAVY: {CORRODED: 1.0, HEAVY: 1.0},
            pattern_sums.UNKNOWN_CORROSION: {CORRODED: shares.light + shares.heavy, HEAVY: shares.heavy},
            pattern_sums.STANDS: {STANDS: 1.0},
            pattern_sums.UNKNOWN_SUPPORT: {STANDS: shares.stands},
            pattern_sums.LEARNING: {LEARNING: 1.0},
        }

    def phase_rows(self, procedure: str, pattern: Pattern) -> Floats:
        """The effects of each phase of a pattern besides what its job shares, shape (phases, effects)."""
        rows = np.zeros((len(pattern), self.shared + self.own))
        rows[:, self.shared] = 1.0
        rows[:, SECOND] = [second for _, second in pattern]
        rows[np.arange(len(pattern)), self.shared + 1 + self.places(procedure, pattern)] = 1.0
        return rows

    def places(self, procedure: str, pattern: Pattern) -> Ints:
        """The places of a pattern's phases among the procedure's."""
        known = self.phases[procedure]
        return np.array([known.index(phase) for phase, _ in pattern], dtype=np.int64)

    def references(self, procedure: str, pattern: Pattern) -> Floats:
        """The logs of the seconds that phases are measured against (plan, or typical time), shape (phases)."""
        return np.log([self.plans.reference(procedure, phase) for phase, _ in pattern])

    def shared_prior(self) -> tuple[Floats, Floats, Ints]:
        """Means, sds and groups of the shared effects."""
        beliefs = self.priors.shared()
        extra = self.shared - len(beliefs)
        means = np.concatenate([[belief.mean for belief in beliefs], np.zeros(extra)])
        sds = np.concatenate([[belief.sd for belief in beliefs], np.zeros(extra)])
        people, steps = len(self.technicians), len(self.blocks.starts)
        groups = [FIXED] * len(beliefs) + [TECHNICIAN] * people + [OWN_LEARNING] * people + [DRIFT] * steps
        return means, sds, np.array(groups, dtype=np.int64)

    def own_prior(self) -> tuple[Floats, Floats, Ints]:
        """Means, sds and groups of each procedure's own effects, one row a procedure."""
        shape = (len(self.procedures), self.own)
        sds, groups = np.ones(shape), np.full(shape, PADDING)
        for row, (procedure, phases) in enumerate(self.phases.items()):
            groups[row, 0] = PROCEDURE
            for place, phase in enumerate(phases, start=1):
                planned = self.plans.has(procedure, phase)
                groups[row, place] = PHASE if planned else UNPLANNED
        return np.zeros(shape), sds, groups
