"""All jobs of a procedure counted: very many at once, but for those that must be looked into one by one."""

from __future__ import annotations

import json
import math
from array import array
from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from operator import truediv

from sparehand.procedures.model import Side
from sparehand.times.job_times import JobTimes, KeptJob, PhaseSpec
from sparehand.times.pattern_sums import Alike, PatternSums, in_pattern
from sparehand.times.sample import doublings_of, lead_of
from sparehand.times.tally import NEAR, Tally
from sparehand.times.time_cells import unit_of
from sparehand.times.usual import BINS_A_DOUBLING, median_of
from sparehand.times.what_counts import UNPLANNED_SECONDS

AT_ONCE = 4096

Shape = tuple[tuple[str, ...], tuple[tuple[str, Side | None], ...]]
"""Operations, and phases with their sides, all of them finished."""


def tally_of(procedure: str, jobs: Callable[[], Iterable[JobTimes | KeptJob]]) -> Tally:
    """All the jobs of a procedure counted; `jobs` gives them in the order in which they were opened.

    One pass, and a second one where what is usual has moved too far on the way.
    """
    tally = _counted(Tally(procedure), jobs())
    if not all(tally.holds(phase) for phase in tally.anchors):
        tally = _counted(
            Tally(procedure, anchors={phase: median_of(tally.bins[phase]) for phase in tally.anchors}), jobs()
        )
    return tally


def _counted(tally: Tally, jobs: Iterable[JobTimes | KeptJob]) -> Tally:
    ordinary = OrdinaryJobs(tally)
    for times in jobs:
        if isinstance(times, JobTimes):
            tally.add(times)
        elif not ordinary.add(times):
            tally.add(times.as_job_times())
    ordinary.sum_up()
    return tally


class Phases:
    """What the phases of very many jobs share. Ordinary ones are each timed once, to the end, without a snag."""

    def __init__(self, specs: Sequence[PhaseSpec]) -> None:
        self.specs = specs
        self.sides = tuple((spec.phase, spec.side) for spec in specs)
        self.technicians = tuple(spec.technician for spec in specs)
        self.one_technician = len(set(self.technicians)) == 1
        once = bool(specs) and len(set(self.sides)) == len(specs)
        self.ordinary = once and all(spec.complete and not spec.snags for spec in specs)
        self._anchors: list[float] = []

    def are_near(self, seconds: Sequence[float], anchors: Mapping[str, float]) -> bool:
        """Whether all `seconds` are near `anchors`, what the phases usually take, and none too short to be real."""
        if not self._anchors:
            if not all(phase in anchors for phase, _ in self.sides):
                return False
            self._anchors = [anchors[phase] for phase, _ in self.sides]
        shares = list(map(truediv, seconds, self._anchors))
        return min(shares) > 1 / NEAR and max(shares) < NEAR and min(seconds) >= UNPLANNED_SECONDS


class Waiting:
    """Ordinary jobs of one shape, by columns: `alike` numbers what jobs share, `seconds` are those of each phase."""

    def __init__(self) -> None:
        self.alike: dict[Alike, int] = {}
        self.kinds = array("l")
        self.units = array("q")
        self.seconds = array("d")

    def add(self, alike: Alike, unit: int, seconds: Sequence[float]) -> None:
        """One more."""
        self.kinds.append(self.alike.setdefault(alike, len(self.alike)))
        self.units.append(unit)
        self.seconds.extend(seconds)


class OrdinaryJobs:
    """Ordinary jobs on their way into a tally. They must come in the order in which they were opened."""

    def __init__(self, tally: Tally) -> None:
        self._tally = tally
        self._phases: dict[int, Phases] = {}
        self._waiting = defaultdict[Shape, Waiting](Waiting)
        self._last: dict[str, KeptJob] = {}
        self._count = 0

    def add(self, times: KeptJob) -> bool:
        """Take a job if it is an ordinary one."""
        phases = self._of(times.specs)
        counts = phases.ordinary and not times.rework and not times.left_out
        if not counts or not phases.are_near(times.work_seconds, self._tally.anchors):
            return False
        technicians = phases.technicians
        technician = technicians[0] if phases.one_technician else lead_of(times.as_job_times().phases)
        self._tally.count_hold(math.fsum(times.held_seconds))
        self._tally.jobs[technician] += 1
        self._last[technician] = times
        alike = Alike(times.corrosion, times.support, doublings_of(self._tally.jobs[technician]), technicians)
        self._waiting[times.operations, phases.sides].add(alike, unit_of(times.opened_at), times.work_seconds)
        self._count += 1
        if self._count == AT_ONCE:
            self.sum_up()
        return True

    def sum_up(self) -> None:
        """Sum what is waiting."""
        for shape, jobs in self._waiting.items():
            _sum_up(self._tally, shape, jobs)
        for technician, times in self._last.items():
            self._tally.was_last(technician, times)
        self._waiting.clear()
        self._last.clear()
        self._count = 0

    def _of(self, specs: Sequence[PhaseSpec]) -> Phases:
        """What is known of phases; the very same ones, of which the log makes one object, are told by it."""
        known = self._phases.get(id(specs))
        if known is None or known.specs is not specs:
            known = Phases(specs)
            if known.ordinary:
                self._phases[id(specs)] = known
        return known


def _sum_up(tally: Tally, shape: Shape, jobs: Waiting) -> None:
    import numpy as np  # here, for a bench that closes one job does without

    operations, phases = shape
    kinds = np.frombuffer(jobs.kinds, dtype=jobs.kinds.typecode)
    tally.shapes[json.dumps([list(operations), [[phase, side, True] for phase, side in phases]])] += len(kinds)
    for alike, count in zip(jobs.alike, np.bincount(kinds).tolist(), strict=True):
        tally.supports[alike.support] += count
        for phase, _ in phases:
            tally.worked[json.dumps([phase, alike.corrosion])] += count
    seconds = np.frombuffer(jobs.seconds).reshape(len(kinds), len(phases))
    places = np.floor(BINS_A_DOUBLING * np.log2(seconds)).astype(int)
    for (phase, _), column in zip(phases, places.T, strict=True):
        bins = tally.bins.setdefault(phase, {})
        for place, count in zip(*(each.tolist() for each in np.unique(column, return_counts=True)), strict=True):
            bins[place] = bins.get(place, 0) + count
    pattern, order = in_pattern([phase for phase, _ in phases])
    sums = tally.sums.setdefault(json.dumps(pattern), PatternSums())
    units = np.frombuffer(jobs.units, dtype=jobs.units.typecode)
    sums.add_many(list(jobs.alike), kinds, units, np.log(seconds[:, list(order)]))
