"""Which jobs hold what, asked of the database without reading the jobs."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

from sqlalchemy import func, select

from sparehand.job.events import DistanceUnit
from sparehand.log.connection import plain_errors, reading
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.tables import EVENTS


@dataclass(frozen=True)
class OpenedVehicle:
    """The vehicle of a job as it was entered at the opening; empty where nobody said, or once it was blanked."""

    job: str
    name: str
    identification: str
    odometer: int | None
    odometer_unit: DistanceUnit | None = None


def opened_vehicles(store: SqliteEventStore) -> tuple[OpenedVehicle, ...]:
    """The vehicles of all jobs, the oldest first. Raises FailureError where the log cannot be read."""
    fields = (func.json_extract(EVENTS.c.body, f"$.event.vehicle.{field}") for field in _FIELDS)
    wanted = select(EVENTS.c.job, *fields).where(EVENTS.c.sequence == 0).order_by(EVENTS.c.arrival)
    with plain_errors(store.path), reading(store.engine) as connection:
        rows = connection.execute(wanted).all()
    return tuple(OpenedVehicle(job, name or "", plate or "", *odometer) for job, name, plate, *odometer in rows)


def jobs_with(store: SqliteEventStore, kinds: Collection[str]) -> frozenset[str]:
    """The jobs that hold an event of one of these kinds. Raises FailureError where the log cannot be read."""
    kind = func.json_extract(EVENTS.c.body, "$.event.kind")
    with plain_errors(store.path), reading(store.engine) as connection:
        return frozenset(connection.scalars(select(EVENTS.c.job).where(kind.in_(kinds)).distinct()))


def plate_key(plate: str) -> str:
    """A plate as plates are compared: without blanks, hyphens and case; empty for none."""
    return "".join(letter for letter in plate.casefold() if letter.isalnum())


_FIELDS = ("name", "identification", "odometer", "odometer_unit")
