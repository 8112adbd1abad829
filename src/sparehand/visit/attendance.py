"""When somebody works, on a clock of open hours or of slots, and how much is done until then. Pure."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Span = tuple[float, float]
"""From a moment until another."""

LEAST = 1e-9


@dataclass(frozen=True)
class Attendance:
    """The spans in which somebody works, in order and without overlap; the last one is without end."""

    spans: tuple[Span, ...]

    def worked(self, moments: Floats) -> Floats:
        """How much somebody has worked until each moment."""
        place = np.searchsorted(self._begins, moments, side="right") - 1
        within = np.minimum(moments, self._ends[place]) - self._begins[place]
        return np.where(place < 0, 0.0, self._before[place] + within)

    def done(self, begins: Floats, work: Floats) -> Floats:
        """When so much work is done that begins at these moments: work stands still while somebody is away."""
        wanted = self.worked(begins) + work
        place = np.searchsorted(self._after, wanted - LEAST, side="left")
        return np.maximum(begins, self._begins[place] + wanted - self._before[place])

    def present(self, moments: Floats) -> Floats:
        """Each moment, or the next one at which somebody works."""
        place = np.searchsorted(self._ends, moments + LEAST, side="right")
        return np.maximum(moments, self._begins[place])

    def on_clock(self, unit: float) -> Attendance:
        """The same on a clock that counts in so many of this one's units."""
        return Attendance(tuple((begins / unit, ends / unit) for begins, ends in self.spans))

    @cached_property
    def _begins(self) -> Floats:
        return np.array([begins for begins, _ in self.spans])

    @cached_property
    def _ends(self) -> Floats:
        return np.array([ends for _, ends in self.spans])

    @cached_property
    def _after(self) -> Floats:
        return np.cumsum(self._ends - self._begins)

    @cached_property
    def _before(self) -> Floats:
        return np.concatenate([[0.0], self._after[:-1]])


ALWAYS = Attendance(((0.0, math.inf),))


def attendance(works: Iterable[Span], away: Sequence[Span], horizon: float) -> Attendance:
    """Who `works` in these spans, which may overlap, but not while `away`; from `horizon` on always."""
    spans: list[Span] = []
    for begins, ends in sorted(works):
        begins = max(begins, spans[-1][1]) if spans else begins
        spans += [(begins, ends)] if begins < ends else []
    for leave in away:
        spans = [rest for span in spans for rest in _without(span, leave)]
    return Attendance((*spans, (max(horizon, spans[-1][1] if spans else 0.0), math.inf)))


def _without(span: Span, leave: Span) -> Iterator[Span]:
    parts = ((span[0], min(span[1], leave[0])), (max(span[0], leave[1]), span[1]))
    yield from (part for part in parts if part[1] - part[0] > LEAST)


class Staff:
    """When each technician works, by number and in slots; technicians of one attendance are of one kind, a number."""

    def __init__(self, attendances: Sequence[Attendance] = ()) -> None:
        self._kinds = list(dict.fromkeys(attendances)) or [ALWAYS]
        self._kind_of = [self._kinds.index(each) for each in attendances]
        self._ends: dict[tuple[int, int], list[int]] = {}

    def kind(self, technician: int) -> int:
        """The kind of a technician; everybody is of the same one where nobody's attendance is known."""
        return self._kind_of[technician] if self._kind_of else 0

    def kinds(self, technicians: Iterable[int]) -> tuple[int, ...]:
        """The different kinds among these technicians."""
        return tuple(sorted(set(map(self.kind, technicians))))

    def next_start(self, kind: int, slot: int) -> int:
        """That slot, or the next one in which somebody of that kind works."""
        who = self._kinds[kind]
        return slot if who == ALWAYS else int(who.present(np.array([float(slot)]))[0])

    def end(self, kind: int, slot: int, slots: int) -> int:
        """The slot after the last one of a job of so many slots that begins in `slot`."""
        who = self._kinds[kind]
        if who == ALWAYS:
            return slot + slots
        known = self._ends.setdefault((kind, slots), [])
        if slot >= len(known):
            starts = np.arange(2 * slot + 64, dtype=np.float64)
            known[:] = np.ceil(who.done(starts, np.full(len(starts), float(slots))) - 1e-6).astype(int).tolist()
        return known[slot]


EVERYBODY = Staff()
"""Technicians who always work."""


def alike(uses: Sequence[frozenset[int]], staff: Staff = EVERYBODY, *, attended: bool = False) -> list[list[int]]:
    """The machines, those together that the same jobs may use; `attended`: and that work at the same times."""
    groups: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for machine in sorted(frozenset[int]().union(*uses)):
        kind = staff.kind(machine) if attended else 0
        groups[kind, *(machine in used for used in uses)].append(machine)
    return list(groups.values())
