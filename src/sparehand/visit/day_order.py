"""The order of a day that keeps most promises: who does which job when, by mixed-integer programming. Pure.

Time is cut into slots. A binary variable says that a job begins in a slot with a technician of a group, another that it
begins there in a bay of a group; technicians and bays that the same jobs may use are alike and form a group. In each
slot no group is used beyond its size (time-indexed scheduling: Sousa and Wolsey 1992, Math. Programming 54:353; from
memory). Intervals of which never more overlap than there are machines can be given to the machines one by one, in the
order of their beginnings, which names who and where.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import coo_array

Floats = NDArray[np.float64]


MOVES, SEED = 300, 20_261_128


@dataclass(frozen=True)
class OrderJob:
    """A job of so many slots that may begin from `release` on, with one of `technicians` in one of `bays` (by number).

    `cost[t]` is the cost of beginning in slot t, and never falls with t. A job that `runs` begins at once.
    """

    slots: int
    release: int
    technicians: frozenset[int]
    bays: frozenset[int]
    cost: Floats
    runs: bool = False

    def starts(self) -> range:
        """The slots in which it may begin."""
        return range(1) if self.runs else range(self.release, len(self.cost))


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


def best_order(jobs: Sequence[OrderJob], seconds: float) -> DayOrder:
    """The order of least cost; after so many seconds the best found by then.

    That is no worse than the order of the list, improved by moving one job at a time.

    All jobs have costs for the same number of slots, and either all name bays or none does.
    """
    program = _Program(jobs)
    solved = milp(
        program.costs,
        integrality=np.ones(len(program.costs)),
        bounds=Bounds(0, 1),
        constraints=program.constraints,
        options={"time_limit": seconds},
    )
    found = [] if solved.x is None else [_ordered(jobs, program.places(solved.x), proven=solved.status == 0)]
    return found[0] if found and found[0].proven else min((*found, moved_about(jobs)), key=lambda order: order.cost)


def moved_about(jobs: Sequence[OrderJob], moves: int = MOVES) -> DayOrder:
    """The order of the list, improved by so many random moves of one job to another place in the sequence."""
    rng = np.random.default_rng(SEED)
    best_sequence = list(range(len(jobs)))
    best = in_sequence(jobs, best_sequence)
    for _ in range(moves):
        sequence = list(best_sequence)
        sequence.insert(int(rng.integers(len(jobs))), sequence.pop(int(rng.integers(len(jobs)))))
        order = in_sequence(jobs, sequence)
        if order.cost <= best.cost:
            best, best_sequence = order, sequence
    return best


def in_sequence(jobs: Sequence[OrderJob], sequence: Sequence[int]) -> DayOrder:
    """Each job in its turn at the first moment when a technician and a bay are free; those that run come first."""
    free: dict[tuple[str, int], list[tuple[int, int]]] = defaultdict(list)
    places: dict[int, Place] = {}
    for number in sorted(sequence, key=lambda each: not jobs[each].runs):
        job = jobs[number]
        place = _first_place(job, free)
        places[number] = place
        span = (place.start, place.start + job.slots)
        free["technician", place.technician].append(span)
        free["bay", place.bay].append(span)
    return _ordered(jobs, tuple(places[number] for number in range(len(jobs))), proven=False)


def _first_place(job: OrderJob, taken: dict[tuple[str, int], list[tuple[int, int]]]) -> Place:
    earliest = 0 if job.runs else job.release
    ends = {end for spans in taken.values() for _, end in spans if end > earliest}
    for start in (earliest, *sorted(ends)):
        who = _free(job.technicians, "technician", start, job.slots, taken)
        where = _free(job.bays, "bay", start, job.slots, taken) if job.bays else -1
        if who is not None and where is not None:
            return Place(start, who, where)
    raise AssertionError("at the end of all jobs everybody is free")


def _free(
    machines: frozenset[int], kind: str, start: int, slots: int, taken: dict[tuple[str, int], list[tuple[int, int]]]
) -> int | None:
    for machine in sorted(machines):
        if all(start + slots <= begins or ends <= start for begins, ends in taken[kind, machine]):
            return machine
    return None


def _ordered(jobs: Sequence[OrderJob], places: tuple[Place, ...], *, proven: bool) -> DayOrder:
    """Beyond the last slot the cost of a job is that of the last one and the delay in slots."""
    last = [len(job.cost) - 1 for job in jobs]
    pairs = zip(jobs, places, last, strict=True)
    cost = float(sum(job.cost[min(place.start, end)] + max(0, place.start - end) for job, place, end in pairs))
    return DayOrder(places, cost, proven)


def alike(uses: Sequence[frozenset[int]]) -> list[list[int]]:
    """The machines, those together that the same jobs may use."""
    groups: dict[tuple[bool, ...], list[int]] = defaultdict(list)
    for machine in sorted(frozenset[int]().union(*uses)):
        groups[tuple(machine in used for used in uses)].append(machine)
    return list(groups.values())


class _Program:
    """The variables (job, kind, group, slot) and what holds between them."""

    def __init__(self, jobs: Sequence[OrderJob]) -> None:
        self._jobs = jobs
        self._machines = {"technician": alike([job.technicians for job in jobs])}
        if all(job.bays for job in jobs):
            self._machines["bay"] = alike([job.bays for job in jobs])
        self._variables = list(self._all())
        self.costs = np.array(
            [jobs[job].cost[slot] if kind == "technician" else 0.0 for job, kind, _, slot in self._variables]
        )
        self.constraints = [self._each_once(), self._within_size()]
        if "bay" in self._machines:
            self.constraints.append(self._together())

    def places(self, solved: Floats) -> tuple[Place, ...]:
        """The places that a solution stands for, with a machine of its group for each job."""
        start: dict[int, int] = {}
        group: dict[tuple[int, str], int] = {}
        for (job, kind, number, slot), value in zip(self._variables, solved, strict=True):
            if value > 0.5:
                start[job], group[job, kind] = slot, number
        chosen: dict[tuple[int, str], int] = {}
        ends: dict[tuple[str, int], int] = defaultdict(int)
        for job in sorted(start, key=lambda each: start[each]):
            for kind, groups in self._machines.items():
                machine = next(one for one in groups[group[job, kind]] if ends[kind, one] <= start[job])
                ends[kind, machine] = start[job] + self._jobs[job].slots
                chosen[job, kind] = machine
        return tuple(
            Place(start[job], chosen[job, "technician"], chosen.get((job, "bay"), -1)) for job in range(len(self._jobs))
        )

    def _all(self) -> Iterator[tuple[int, str, int, int]]:
        for kind, groups in self._machines.items():
            for number, job in enumerate(self._jobs):
                allowed = job.technicians if kind == "technician" else job.bays
                for group, machines in enumerate(groups):
                    if machines[0] in allowed:
                        yield from ((number, kind, group, slot) for slot in job.starts())

    def _each_once(self) -> LinearConstraint:
        columns = np.array([place for place, one in enumerate(self._variables) if one[1] == "technician"])
        rows = np.array([self._variables[place][0] for place in columns])
        return self._constraint(np.ones(len(rows)), rows, columns, np.ones(len(self._jobs)), equal=True)

    def _within_size(self) -> LinearConstraint:
        """In each slot each group is used by as many jobs at most as it has machines."""
        horizon = max(len(job.cost) + job.slots for job in self._jobs)
        first, sizes = {}, list[int]()
        for kind, groups in self._machines.items():
            for number, machines in enumerate(groups):
                first[kind, number] = len(sizes) * horizon
                sizes.append(len(machines))
        lengths = np.array([self._jobs[job].slots for job, *_ in self._variables])
        begins = np.array([first[kind, group] + slot for _, kind, group, slot in self._variables])
        columns = np.repeat(np.arange(len(lengths)), lengths)
        offsets = np.arange(lengths.sum()) - np.repeat(np.cumsum(lengths) - lengths, lengths)
        rows = np.repeat(begins, lengths) + offsets
        most = np.repeat(np.array(sizes, dtype=float), horizon)
        return self._constraint(np.ones(len(rows)), rows, columns, most, equal=False)

    def _together(self) -> LinearConstraint:
        """A job begins in its bay when it begins with its technician."""
        begun = dict.fromkeys((job, slot) for job, _, _, slot in self._variables)
        numbers = {pair: row for row, pair in enumerate(begun)}
        rows = np.array([numbers[job, slot] for job, _, _, slot in self._variables])
        signs = np.array([1.0 if kind == "technician" else -1.0 for _, kind, _, _ in self._variables])
        return self._constraint(signs, rows, np.arange(len(rows)), np.zeros(len(numbers)), equal=True)

    def _constraint(
        self, values: Floats, rows: NDArray[np.int64], columns: NDArray[np.int64], limit: Floats, *, equal: bool
    ) -> LinearConstraint:
        matrix = coo_array((values, (rows, columns)), shape=(len(limit), len(self._variables))).tocsr()
        return LinearConstraint(matrix, limit if equal else -np.inf, limit)
