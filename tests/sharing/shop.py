"""Benches that share a database, as a shop has them."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from types import TracebackType
from uuid import UUID

from log.demo import long_job, recorded
from sharing.server import Server
from sparehand.job.events import Event, JobClosed, Recorded
from sparehand.log.fault_points import Watch
from sparehand.log.sqlite import SqliteEventStore
from sparehand.sharing.database import SharedDatabase
from sparehand.sharing.database_address import read_address
from sparehand.sharing.pull import pull
from sparehand.sharing.push import Pushed, Sender, push
from sparehand.sharing.read_shop_copy import shop_copy_times
from sparehand.sharing.redaction import Redaction
from sparehand.sharing.shop_copy import ShopCopy
from sparehand.sharing.sync_state import SyncStates
from sparehand.times.job_times import JobTimes

JOB, OTHER = "261125-k7qm", "261126-b2xz"
LASTING = (
    "benches",
    "pushes",
    "people",
    "jobs",
    "events",
    "summaries",
    "phase_times",
    "procedures",
    "procedure_pictures",
)
"""The tables that a bench reads and adds to, and takes nothing away from."""


@dataclass
class Bench:
    """A data folder with its log, and its way to the shared database."""

    folder: Path
    name: str
    database: SharedDatabase
    store: SqliteEventStore
    shift: int = 0
    """Added to the ids of its events, where they must differ from those of the same demo job elsewhere."""

    def works(self, job: str = JOB, length: int = 5, close: bool = True) -> tuple[Recorded, ...]:
        """A job from its opening on, recorded."""
        told = list(long_job(job, length))
        if close:
            told += recorded(job, length, JobClosed())
        told = [one.model_copy(update={"id": UUID(int=one.id.int + self.shift)}) for one in told]
        self.store.append(job, 0, told)
        return tuple(told)

    def records(self, job: str, first: int, *events: Event) -> None:
        """More events of a job."""
        self.store.append(job, first, recorded(job, first, *events))

    def pushes(
        self,
        *,
        take_over: bool = False,
        redaction: Redaction | None = None,
        watch: Watch | None = None,
        events_at_once: int = 5_000,
        now: Callable[[], datetime] | None = None,
    ) -> Pushed:
        """Send what is there."""
        sender = Sender(self.name, SyncStates(self.folder), redaction or Redaction(), watch or Watch(), events_at_once)
        clock = {"now": now} if now else {}
        return push(self.database, self.store, sender, take_over=take_over, **clock)

    def pulls(self) -> int:
        """Fetch what the others sent."""
        own = self.pushes().installation
        copy = ShopCopy(self.folder)
        try:
            return pull(self.database, self.store, copy, own)
        finally:
            copy.close()

    def knows_of_others(self) -> tuple[JobTimes, ...]:
        """The times of other benches' jobs that it has."""
        return shop_copy_times(self.folder)


class Shop:
    """A database on a server, and the benches of a test."""

    def __init__(self, server: Server, database: str) -> None:
        self.server = server
        self.database = database
        self._ends = ExitStack()

    def bench(self, folder: Path, name: str = "bay one", login: str = "bay_one", port: int | None = None) -> Bench:
        """A bench whose data are in `folder`."""
        folder.mkdir(parents=True, exist_ok=True)
        database = SharedDatabase(read_address(self.server.url(self.database, login, port)))
        store = SqliteEventStore(folder / "log.sqlite")
        self._ends.callback(database.close)
        self._ends.callback(store.close)
        return Bench(folder, name, database, store)

    def rows(self, query: str) -> list[tuple[object, ...]]:
        """What the owner sees."""
        return self.server.tell(self.database, "SET search_path = sparehand", query)

    def count(self, table: str) -> int:
        """How many rows a table has."""
        return int(str(self.rows(f"SELECT count(*) FROM {table}")[0][0]))

    def __enter__(self) -> Shop:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        self._ends.close()
