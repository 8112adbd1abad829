"""One job on the desk, open or closed: claimed, read, and added to."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sparehand.conversation.session import amend
from sparehand.ground.choices import one_of
from sparehand.ground.clock import LiveClock
from sparehand.ground.ids import new_run_id
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.job.events import By, DistanceUnit, Event
from sparehand.job.state import JobState, fold
from sparehand.log.sqlite import SqliteEventStore
from sparehand.settings import load_settings


@dataclass(frozen=True)
class JobDesk:
    """A job that this process alone holds, and who adds to it."""

    store: SqliteEventStore
    id: str
    who: str
    bench: str
    distance_unit: DistanceUnit | None = None
    made_with: By | None = None
    """What else than the command line it is said with."""

    @property
    def state(self) -> JobState:
        """The job as it is now."""
        return fold(self.store.events(self.id))

    def add(self, *events: Event) -> None:
        """Record events of the desk. Raises FailureError where they cannot be saved."""
        for event in events:
            amend(self.store, self.id, event, self.who, self.bench, LiveClock(new_run_id()).now(), self.made_with)


def unit_of(said: str | None, desk: JobDesk) -> DistanceUnit:
    """The unit of a distance: as it was said, or as the settings say. Raises InputError for one that is none."""
    return one_of(said, DistanceUnit, "the unit") if said else desk.distance_unit or "km"


@contextmanager
def job_on_desk(job: str, by: str | None, data: Path | None, made_with: By | None = None) -> Iterator[JobDesk]:
    """The job that `job` names. Raises InputError where there is none, FailureError where another window has it."""
    folder = data_folder(data)
    settings = load_settings(folder)
    store = SqliteEventStore(folder / LOG_FILE)
    id = store.find_job(job)
    with store.claim(id):
        who = by or settings.technician or "the desk"
        yield JobDesk(store, id, who, settings.bench, settings.distance_unit, made_with)
