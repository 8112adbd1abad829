"""The order of a day that keeps most promises: who does which job when, by mixed-integer programming. Pure.

Time is cut into slots. A binary variable says that a job begins in a slot with a technician of a group, another that it
begins there in a bay of a group; technicians and bays that the same jobs may use are alike and form a group. In each
slot no group is used beyond its size (time-indexed scheduling: Sousa and Wolsey 1992, Math. Programming 54:353; from
memory). Intervals of which never more overlap than there are machines can be given to the machines one by one, in the
order of their beginnings, which names who and where. Technicians who work at the same times are of one kind; a job
lasts as long as its technician's kind needs, so that its bay is taken by the kind as well.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

from sparehand.visit.attendance import EVERYBODY, Staff, alike

Floats = NDArray[np.float64]


MOVES, SEED = 300, 20_261_128

_Taken = dict[tuple[str, int], list[tuple[int, int]]]


@dataclass(frozen=True)
class OrderJob:
    """A job of so many slots that may begin from `release` on, with one of `technicians` in one of `bays` (by number).

    `cost[t]` is the cost of beginning in slot t, and never falls with t; with two dimensions `cost[k, t]` is that for
    a technician of kind k. A job that `runs` begins at once.
    """

    slots: int
    release: int
    technicians: frozenset[int]
    bays: frozenset[int]
    cost: Floats
    runs: bool = False

    def starts(self) -> range:
        """The slots in which it may begin."""
        return range(1) if self.runs else range(self.release, self.cost.shape[-1])

    def cost_for(self, kind: int) -> Floats:
        """What each beginning costs with a technician of that kind."""
        return self.cost if self.cost.ndim == 1 else self.cost[kind]


@dataclass(frozen=True)
class Place:
    """Where a job stands in the day: its first slot, its technician and its bay by number (-1: bays do not count)."""

    start: int
    technician: int
    bay: int


@dataclass(frozen=True)
class DayOrder:
    """A place for each job, the sum of their costs, and whether it is proven that none is better."""

    places: tuple[Place, ...]
    cost: float
    proven: bool


def best_order(jobs: Sequence[OrderJob], seconds: float, staff: Staff = EVERYBODY) -> DayOrder:
    """The order of least cost; after so many seconds the best found by then.

    That is no worse than the order of the list, improved by moving one job at a time.

    All jobs have costs for the same number of slots, and either all name bays or none does.
    """
    program = _Program(jobs, staff)
    solved = milp(
        program.costs,
        integrality=np.ones(len(program.costs)),
        bounds=Bounds(0, 1),
        constraints=program.constraints,
        options={"time_limit": seconds},
    )
    found = [] if solved.x is None else [_ordered(jobs, program.places(solved.x), staff, proven=solved.status == 0)]
    if found and found[0].proven:
        return found[0]
    return min((*found, moved_about(jobs, staff)), key=lambda order: order.cost)


def moved_about(jobs: Sequence[OrderJob], staff: Staff = EVERYBODY, moves: int = MOVES) -> DayOrder:
    """The order of the list, improved by so many random moves of one job to another place in the sequence."""
    rng = np.random.default_rng(SEED)
    best_sequence = list(range(len(jobs)))
    best = in_sequence(jobs, best_sequence, staff)
    for _ in range(moves):
        sequence = list(best_sequence)
        sequence.insert(int(rng.integers(len(jobs))), sequence.pop(int(rng.integers(len(jobs)))))
        order = in_sequence(jobs, sequence, staff)
        if order.cost <= best.cost:
            best, best_sequence = order, sequence
    return best


def in_sequence(jobs: Sequence[OrderJob], sequence: Sequence[int], staff: Staff = EVERYBODY) -> DayOrder:
    """Each job in its turn at the first moment when a technician and a bay are free; those that run come first."""
    taken: _Taken = defaultdict(list)
    places: dict[int, Place] = {}
    for number in sorted(sequence, key=lambda each: not jobs[each].runs):
        job = jobs[number]
        place = _first_place(job, taken, staff)
        places[number] = place
        span = (place.start, staff.end(staff.kind(place.technician), place.start, job.slots))
        taken["technician", place.technician].append(span)
        taken["bay", place.bay].append(span)
    return _ordered(jobs, tuple(places[number] for number in range(len(jobs))), staff, proven=False)


def _first_place(job: OrderJob, taken: _Taken, staff: Staff) -> Place:
    """The first moment, which is that of the job's release, the end of another job or the coming of somebody."""
    earliest = 0 if job.runs else job.release
    moments = {earliest, *(end for spans in taken.values() for _, end in spans if end > earliest)}
    kinds = staff.kinds(job.technicians)
    starts = moments if job.runs else {staff.next_start(kind, moment) for kind in kinds for moment in moments}
    for start in sorted(starts):
        for who in sorted(job.technicians):
            kind = staff.kind(who)
            span = (start, staff.end(kind, start, job.slots))
            there = job.runs or staff.next_start(kind, start) == start
            if there and _is_free(taken["technician", who], span):
                bays = [bay for bay in sorted(job.bays) or [-1] if bay < 0 or _is_free(taken["bay", bay], span)]
                if bays:
                    return Place(start, who, bays[0])
    raise AssertionError("at the end of all jobs everybody is free")


def _is_free(taken: list[tuple[int, int]], span: tuple[int, int]) -> bool:
    return all(span[1] <= begins or ends <= span[0] for begins, ends in taken)


def _ordered(jobs: Sequence[OrderJob], places: tuple[Place, ...], staff: Staff, *, proven: bool) -> DayOrder:
    """Beyond the last slot the cost of a job is that of the last one and the delay in slots."""
    cost = 0.0
    for job, place in zip(jobs, places, strict=True):
        costs = job.cost_for(staff.kind(place.technician))
        last = len(costs) - 1
        cost += float(costs[min(place.start, last)]) + max(0, place.start - last)
    return DayOrder(places, cost, proven)


class _Program:
    """The variables (job, kind of machine, group, slot, kind of technician) and what holds between them."""

    def __init__(self, jobs: Sequence[OrderJob], staff: Staff) -> None:
        self._jobs, self._staff = jobs, staff
        self._machines = {"technician": alike([job.technicians for job in jobs], staff, attended=True)}
        if all(job.bays for job in jobs):
            self._machines["bay"] = alike([job.bays for job in jobs])
        self._variables = list(self._all())
        self.costs = np.array(
            [
                jobs[job].cost_for(who)[slot] if kind == "technician" else 0.0
                for job, kind, _, slot, who in self._variables
            ]
        )
        self.constraints = [self._each_once(), self._within_size()]
        if "bay" in self._machines:
            self.constraints.append(self._together())

    def places(self, solved: Floats) -> tuple[Place, ...]:
        """The places that a solution stands for, with a machine of its group for each job."""
        start, end = dict[int, int](), dict[int, int]()
        group: dict[tuple[int, str], int] = {}
        for (job, kind, number, slot, who), value in zip(self._variables, solved, strict=True):
            if value > 0.5:
                start[job], end[job], group[job, kind] = slot, self._end(job, slot, who), number
        chosen: dict[tuple[int, str], int] = {}
        ends: dict[tuple[str, int], int] = defaultdict(int)
        for job in sorted(start, key=lambda each: start[each]):
            for kind, groups in self._machines.items():
                machine = next(one for one in groups[group[job, kind]] if ends[kind, one] <= start[job])
                ends[kind, machine] = end[job]
                chosen[job, kind] = machine
        return tuple(
            Place(start[job], chosen[job, "technician"], chosen.get((job, "bay"), -1)) for job in range(len(self._jobs))
        )

    def _end(self, job: int, slot: int, who: int) -> int:
        return self._staff.end(who, slot, self._jobs[job].slots)

    def _all(self) -> Iterator[tuple[int, str, int, int, int]]:
        for kind, groups in self._machines.items():
            for number, job in enumerate(self._jobs):
                allowed = job.technicians if kind == "technician" else job.bays
                for group, machines in enumerate(groups):
                    if machines[0] in allowed:
                        of_group = machines[:1] if kind == "technician" else job.technicians
                        for who in self._staff.kinds(of_group):
                            yield from ((number, kind, group, slot, who) for slot in self._starts(job, who))

    def _starts(self, job: OrderJob, who: int) -> Iterator[int]:
        return (slot for slot in job.starts() if job.runs or self._staff.next_start(who, slot) == slot)

    def _each_once(self) -> LinearConstraint:
        columns = np.array([place for place, one in enumerate(self._variables) if one[1] == "technician"])
        rows = np.array([self._variables[place][0] for place in columns])
        return self._constraint(np.ones(len(rows)), rows, columns, np.ones(len(self._jobs)), equal=True)

    def _within_size(self) -> LinearConstraint:
        """In each slot each group is used by as many jobs at most as it has machines."""
        ends = [self._end(job, slot, who) for job, _, _, slot, who in self._variables]
        horizon = max(ends)
        first, sizes = {}, list[int]()
        for kind, groups in self._machines.items():
            for number, machines in enumerate(groups):
                first[kind, number] = len(sizes) * horizon
                sizes.append(len(machines))
        lengths = np.array(ends) - np.array([slot for _, _, _, slot, _ in self._variables])
        begins = np.array([first[kind, group] + slot for _, kind, group, slot, _ in self._variables])
        columns = np.repeat(np.arange(len(lengths)), lengths)
        offsets = np.arange(lengths.sum()) - np.repeat(np.cumsum(lengths) - lengths, lengths)
        rows = np.repeat(begins, lengths) + offsets
        most = np.repeat(np.array(sizes, dtype=float), horizon)
        return self._constraint(np.ones(len(rows)), rows, columns, most, equal=False)

    def _together(self) -> LinearConstraint:
        """A job begins in its bay when it begins with its technician, and takes as long there."""
        begun = dict.fromkeys((job, slot, who) for job, _, _, slot, who in self._variables)
        numbers = {each: row for row, each in enumerate(begun)}
        rows = np.array([numbers[job, slot, who] for job, _, _, slot, who in self._variables])
        signs = np.array([1.0 if kind == "technician" else -1.0 for _, kind, *_ in self._variables])
        return self._constraint(signs, rows, np.arange(len(rows)), np.zeros(len(numbers)), equal=True)

    def _constraint(
        self, values: Floats, rows: NDArray[np.int64], columns: NDArray[np.int64], limit: Floats, *, equal: bool
    ) -> LinearConstraint:
        matrix = coo_array((values, (rows, columns)), shape=(len(limit), len(self._variables))).tocsr()
        return LinearConstraint(matrix, limit if equal else -np.inf, limit)
