"""Where each effect stands in the equations: shared ones first, then those of one procedure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sparehand.labour.fitting.priors import (
    HEAVY,
    LEARNING,
    LIGHT,
    PHASE,
    PROCEDURE,
    SECOND,
    SHARED,
    SHOP,
    STANDS,
    TECHNICIAN,
    Priors,
)
from sparehand.times import named_sums
from sparehand.times.sample import Plans
from sparehand.times.signature import Entry

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
FIXED, PADDING = -1, -2


@dataclass(frozen=True)
class Setting:
    """The circumstances that all phases of a job share."""

    corrosion: str = "none"
    support: str = "lift"
    doublings: float = 0.0


@dataclass(frozen=True)
class Layout:
    """The order of the effects. A procedure's own effects are its offset from the shop, then its phases."""

    technicians: tuple[str, ...]
    phases: Mapping[str, tuple[str, ...]]
    plans: Plans
    priors: Priors

    @cached_property
    def procedures(self) -> tuple[str, ...]:
        """The procedures, in the order of the blocks."""
        return tuple(self.phases)

    @property
    def shared(self) -> int:
        """How many effects all procedures share."""
        return len(SHARED) + len(self.technicians)

    @cached_property
    def own(self) -> int:
        """How many effects the largest procedure has of its own."""
        return 1 + max((len(phases) for phases in self.phases.values()), default=0)

    @cached_property
    def _technician_place(self) -> dict[str, int]:
        return {name: len(SHARED) + place for place, name in enumerate(self.technicians)}

    def knows(self, technician: str) -> bool:
        """Whether the technician has an effect here."""
        return technician in self._technician_place

    def rows(self, procedure: str, jobs: Sequence[tuple[Sequence[Entry], Setting]]) -> Floats:
        """One row of coefficients an entry, shape (jobs, entries, effects); all jobs have the same number of entries.

        A technician without an effect here gets none.
        """
        size = len(jobs[0][0])
        rows = np.zeros((len(jobs), size, self.shared + self.own))
        rows[:, :, SHOP] = rows[:, :, self.shared] = 1.0
        settings = [setting for _, setting in jobs]
        for place, values in (
            (LIGHT, [setting.corrosion == "light" for setting in settings]),
            (HEAVY, [setting.corrosion == "heavy" for setting in settings]),
            (STANDS, [setting.support == "stands" for setting in settings]),
            (LEARNING, [setting.doublings for setting in settings]),
        ):
            rows[:, :, place] = np.array(values, dtype=np.float64)[:, None]
        rows[:, :, SECOND] = [[entry.second for entry in entries] for entries, _ in jobs]
        job, entry = np.indices((len(jobs), size))
        places = {phase: self.shared + 1 + place for place, phase in enumerate(self.phases[procedure])}
        rows[job, entry, [[places[each.phase] for each in entries] for entries, _ in jobs]] = 1.0
        people = np.array(
            [[self._technician_place.get(each.technician, -1) for each in entries] for entries, _ in jobs]
        )
        known = people >= 0
        rows[job[known], entry[known], people[known]] = 1.0
        return rows

    def references(self, procedure: str, jobs: Sequence[Sequence[Entry]]) -> Floats:
        """The logs of the seconds that entries are measured against (plan, or typical time), shape (jobs, entries)."""
        seconds = {phase: self.plans.reference(procedure, phase) for phase in self.phases[procedure]}
        return np.log([[seconds[entry.phase] for entry in entries] for entries in jobs])

    def columns(self, procedure: str, names: Sequence[str]) -> Floats:
        """Which effects each named one of `named_sums` is here, shape (names, effects)."""
        phases = {phase: self.shared + 1 + place for place, phase in enumerate(self.phases[procedure])}
        columns = np.zeros((len(names), self.shared + self.own))
        for row, name in enumerate(names):
            if name == named_sums.ALL:
                columns[row, [SHOP, self.shared]] = 1.0
            elif name.startswith(named_sums.PHASE):
                columns[row, phases[name.removeprefix(named_sums.PHASE)]] = 1.0
            elif name.startswith(named_sums.PERSON):
                columns[row, self._technician_place[name.removeprefix(named_sums.PERSON)]] = 1.0
            else:
                columns[row, SHARED.index(name)] = 1.0
        return columns

    def references_by_effect(self, procedure: str) -> Floats:
        """The logs of planned (or typical) seconds at the effects of the procedure's phases, 0 elsewhere."""
        logs = np.zeros(self.shared + self.own)
        for place, phase in enumerate(self.phases[procedure], start=self.shared + 1):
            logs[place] = np.log(self.plans.reference(procedure, phase))
        return logs

    def shared_prior(self) -> tuple[Floats, Floats, Ints]:
        """Means, sds and groups of the shared effects."""
        beliefs = self.priors.shared()
        extra = np.zeros(len(self.technicians))
        means = np.concatenate([[belief.mean for belief in beliefs], extra])
        sds = np.concatenate([[belief.sd for belief in beliefs], extra])
        groups = np.concatenate([np.full(len(beliefs), FIXED), np.full(len(extra), TECHNICIAN)])
        return means, sds, groups

    def own_prior(self) -> tuple[Floats, Floats, Ints]:
        """Means, sds and groups of each procedure's own effects, one row a procedure."""
        shape = (len(self.procedures), self.own)
        sds, groups = np.ones(shape), np.full(shape, PADDING)
        for row, (procedure, phases) in enumerate(self.phases.items()):
            groups[row, 0] = PROCEDURE
            for place, phase in enumerate(phases, start=1):
                planned = self.plans.has(procedure, phase)
                groups[row, place] = PHASE if planned else FIXED
                sds[row, place] = 0.0 if planned else self.priors.unplanned_sd
        return np.zeros(shape), sds, groups
