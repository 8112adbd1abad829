"""What jobs left to be done later, over all jobs of a bench: which is due, and which a vehicle brings back."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from sparehand.job.events import DistanceUnit, Vehicle
from sparehand.job.open_follow_ups import follow_ups_of
from sparehand.job.state import JobState, fold
from sparehand.job.visit_lines import EarlierDone, FollowUpNote
from sparehand.log.job_search import OpenedVehicle, jobs_with, opened_vehicles, plate_key
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.store import DamagedLogError

Standing = Literal["overdue", "due", "later", "no date", "done"]
"""Due: today, or by the highest odometer of the vehicle."""

KM_OF_MILE = 1.609344


@dataclass(frozen=True)
class Reading:
    """What an odometer showed; one without a unit is taken to count in that of what it is compared with."""

    value: int
    unit: DistanceUnit | None

    def in_unit(self, unit: DistanceUnit | None) -> float:
        """The distance in that unit."""
        if None in (self.unit, unit) or self.unit == unit:
            return self.value
        return self.value * KM_OF_MILE if unit == "km" else self.value / KM_OF_MILE


@dataclass(frozen=True)
class DueFollowUp:
    """A follow-up of one job. `odometer` is the highest reading of the vehicle in any job, None where there is none."""

    job: str
    opened_on: date
    vehicle: str
    plate: str
    note: FollowUpNote
    odometer: int | None
    odometer_unit: DistanceUnit | None
    standing: Standing


def read_states(store: SqliteEventStore, jobs: Iterable[str]) -> tuple[list[JobState], list[str]]:
    """The states of these jobs, and the ids of those that are damaged: they keep nobody from the others."""
    states, damaged = [], []
    for job in jobs:
        try:
            states.append(fold(store.events(job)))
        except DamagedLogError:
            damaged.append(job)
    return states, damaged


def follow_ups_of_log(
    store: SqliteEventStore, today: date, since: date | None
) -> tuple[tuple[DueFollowUp, ...], list[str]]:
    """The follow-ups of all jobs, and the ids of damaged jobs.

    With `since`, only those jobs are read that are open, were opened from that day on, or hold a scheduled follow-up.
    """
    scheduled = jobs_with(store, ("follow-up scheduled", "follow-up done"))
    wanted = (
        header.id
        for header in store.jobs()
        if since is None or header.open or header.id in scheduled or header.opened_at.date() >= since
    )
    states, damaged = read_states(store, wanted)
    return due_follow_ups(states, today, opened_vehicles(store)), damaged


def due_follow_ups(
    states: Sequence[JobState], today: date, vehicles: Iterable[OpenedVehicle] = ()
) -> tuple[DueFollowUp, ...]:
    """The follow-ups of these jobs: overdue ones first, then by date, then those without a date; done ones last.

    `vehicles` tell odometer readings of other jobs too; the highest of a vehicle counts, of those with a unit if
    there is any.
    """
    odometers: dict[str, Reading] = {}
    for key, reading in _readings((*vehicles, *(state.vehicle for state in states))):
        odometers[key] = max(odometers.get(key, reading), reading, key=lambda one: (bool(one.unit), one.in_unit("km")))
    ticked = _ticked_elsewhere(states)
    found = [_due(state, note, odometers, today) for state in states for note in _notes(state, ticked)]
    return tuple(sorted(found, key=lambda one: (_ORDER[one.standing], one.note.due_on or date.max, one.opened_on)))


def left_open_for(store: SqliteEventStore, vehicle: Vehicle) -> tuple[tuple[str, FollowUpNote], ...]:
    """What earlier jobs of a vehicle left open, each with its job; nothing for one without a plate."""
    key = plate_key(vehicle.identification)
    if not key:
        return ()
    jobs = [one.job for one in opened_vehicles(store) if plate_key(one.identification) == key]
    states, _ = read_states(store, jobs)
    ticked = _ticked_elsewhere(states)
    return tuple(
        (state.job, note)
        for state in states
        if state.progress.closed
        for note in _notes(state, ticked)
        if note.done_on is None
    )


_ORDER: dict[Standing, int] = {"overdue": 0, "due": 1, "later": 2, "no date": 3, "done": 4}


_Ticked = dict[tuple[str, str], EarlierDone]


def _ticked_elsewhere(states: Iterable[JobState]) -> _Ticked:
    return {(one.job, one.follow_up): one for state in states for one in state.progress.visit.others_done}


def _notes(state: JobState, ticked: _Ticked) -> Iterator[FollowUpNote]:
    """The follow-ups of a job, as later jobs of the vehicle left them."""
    for note in follow_ups_of(state):
        done = ticked.get((state.job, note.id))
        yield replace(note, done_on=done.done_on, result=done.result) if done and not note.done_on else note


def _readings(vehicles: Iterable[OpenedVehicle | Vehicle]) -> Iterator[tuple[str, Reading]]:
    for one in vehicles:
        if one.odometer is not None:
            yield plate_key(one.identification), Reading(one.odometer, one.odometer_unit)


def _due(state: JobState, note: FollowUpNote, odometers: dict[str, Reading], today: date) -> DueFollowUp:
    vehicle = state.vehicle
    plate = plate_key(vehicle.identification)
    odometer = odometers.get(plate) if plate else dict(_readings([vehicle])).get(plate)
    standing = _standing(note, odometer, today)
    return DueFollowUp(
        state.job,
        state.opened_at.wall.date(),
        vehicle.name,
        vehicle.identification,
        note,
        odometer.value if odometer else None,
        odometer.unit if odometer else None,
        standing,
    )


def _standing(note: FollowUpNote, odometer: Reading | None, today: date) -> Standing:
    if note.done_on:
        return "done"
    reached = None if odometer is None else odometer.in_unit(note.distance_unit)
    driven = note.due_distance is not None and reached is not None and reached >= note.due_distance
    if note.due_on is not None and note.due_on < today:
        return "overdue"
    if driven or note.due_on == today:
        return "due"
    dated = note.due_on is not None or note.due_distance is not None or note.due_hours is not None
    return "later" if dated else "no date"
