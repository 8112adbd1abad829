"""An event store that lasts as long as the process: for tests and trials."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from sparehand.ground.errors import FailureError
from sparehand.job.events import Recorded
from sparehand.log.headers import header_of, require_in_order
from sparehand.log.shown_names import FORGOTTEN
from sparehand.log.store import JobHeader, OutOfStepError, match_job


class MemoryEventStore:
    """Keeps the rules of every event store but durability."""

    def __init__(self) -> None:
        self._events: dict[str, list[Recorded]] = {}
        self._claimed: set[str] = set()

    def append(self, job: str, expected_sequence: int, recorded: Sequence[Recorded]) -> None:
        """See EventStore."""
        require_in_order(job, expected_sequence, recorded)
        kept = self._events.get(job, [])
        if len(kept) != expected_sequence:
            raise OutOfStepError(f"job {job} stands at event {len(kept)}, not {expected_sequence}; resume it")
        self._events.setdefault(job, []).extend(recorded)

    def events(self, job: str, upto: int | None = None) -> tuple[Recorded, ...]:
        """See EventStore."""
        return tuple(self._events.get(job, [])[: None if upto is None else upto + 1])

    def jobs(self) -> tuple[JobHeader, ...]:
        """See EventStore."""
        headers = [header_of(events) for events in self._events.values()]
        return tuple(sorted(headers, key=lambda header: (header.opened_at, header.id)))

    def find_job(self, text: str) -> str:
        """See EventStore."""
        return match_job(text, (header.id for header in self.jobs()))

    @contextmanager
    def claim(self, job: str) -> Iterator[None]:
        """See EventStore."""
        if job in self._claimed:
            raise FailureError(f"job {job} is open in another window; go on there, or end that first")
        self._claimed.add(job)
        try:
            yield
        finally:
            self._claimed.discard(job)

    def forget_person(self, name: str) -> int:
        """See EventStore."""
        found = False
        for kept in self._events.values():
            for place, recorded in enumerate(kept):
                blanked = _blanked(recorded, name)
                found = found or blanked is not recorded
                kept[place] = blanked
        return int(found)

    def close(self) -> None:
        """See EventStore."""


def _blanked(recorded: Recorded, name: str) -> Recorded:
    event = recorded.event
    if getattr(event, "technician", None) == name:
        recorded = recorded.model_copy(update={"event": event.model_copy(update={"technician": FORGOTTEN})})
    if recorded.technician == name:
        recorded = recorded.model_copy(update={"technician": FORGOTTEN})
    return recorded
