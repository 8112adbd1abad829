"""What every event store does, wherever it keeps its events."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from contextlib import AbstractContextManager
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Protocol

from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.plurals import how_many

if TYPE_CHECKING:
    from sparehand.job.events import Recorded

_NAMED_AT_MOST = 6


@dataclass(frozen=True)
class JobHeader:
    """A job as a list of jobs shows it."""

    id: str
    procedure: str
    opened_at: datetime
    open: bool
    technician: str
    vehicle: str
    left_out: str = ""
    """Why its times do not count for estimates; "" where they do."""


class OutOfStepError(FailureError):
    """What was to be appended does not follow the last event: another window went on with the job meanwhile."""


class DamagedLogError(FailureError):
    """What was durable is no longer there, or no longer what was written."""


class EventStore(Protocol):
    """Keeps the events of jobs, in order, for good."""

    def append(self, job: str, expected_sequence: int, recorded: Sequence[Recorded]) -> None:
        """Record the events of one decision: all of them are durable on return, or none is there.

        `expected_sequence` is the sequence number of the first. Raises OutOfStepError where the job has gone on
        meanwhile, FailureError where it cannot be written. After a FailureError ask `events` what is there.
        """

    def events(self, job: str, upto: int | None = None) -> tuple[Recorded, ...]:
        """The events of a job in order, up to and with sequence number `upto`; nothing for a job it does not have.

        Raises DamagedLogError where they are not what was written.
        """

    def jobs(self) -> tuple[JobHeader, ...]:
        """Every job, the oldest first. Raises DamagedLogError where a job has vanished."""

    def find_job(self, text: str) -> str:
        """The id of the job that `text` names, whole or by its beginning. Raises InputError naming what there is."""

    def claim(self, job: str) -> AbstractContextManager[None]:
        """The job for this process alone while the context lasts. Raises FailureError where another has it."""

    def forget_person(self, name: str) -> int:
        """Blank a technician's name wherever it would be shown; gives how many people had that name."""

    def close(self) -> None:
        """Let go of files."""


def match_job(text: str, jobs: Iterable[str]) -> str:
    """The one of `jobs` (ids, oldest first) that is `text` or begins with it. Raises InputError otherwise."""
    known = list(jobs)
    if text in known:
        return text
    matching = [job for job in known if text and job.startswith(text)]
    if len(matching) == 1:
        return matching[0]
    if matching:
        raise InputError(f"'{text}' names {how_many(len(matching), 'job')}: {_listed(matching)}; give more of the name")
    if not known:
        raise InputError(f"there is no job '{text}', nor any other; begin one with `sparehand work`")
    raise InputError(f"there is no job '{text}'; there are: {_listed(known)}")


def _listed(jobs: list[str]) -> str:
    newest = ", ".join(reversed(jobs[-_NAMED_AT_MOST:]))
    return newest if len(jobs) <= _NAMED_AT_MOST else f"{newest} and {len(jobs) - _NAMED_AT_MOST} older"
