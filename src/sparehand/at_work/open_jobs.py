"""The jobs that are open on a bench: which they are, and that a technician works on one of them at a time."""

from __future__ import annotations

import sys
from collections.abc import Collection, Iterator
from contextlib import ExitStack, contextmanager

from sparehand.conversation.session import JobSession
from sparehand.ground.choices import number_in
from sparehand.ground.clock import Moment
from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.plurals import how_many
from sparehand.ground.terminal import new_console
from sparehand.job.state import JobState, fold
from sparehand.log.store import EventStore, JobHeader
from sparehand.settings import Settings


def open_jobs(store: EventStore) -> tuple[JobHeader, ...]:
    """Those that are not closed, the oldest first."""
    return tuple(header for header in store.jobs() if header.open)


def job_to_resume(store: EventStore) -> str:
    """The only open job, or the one chosen at the terminal. Raises InputError where there is none, or nobody to ask."""
    jobs = open_jobs(store)
    if not jobs:
        raise InputError("no job is open; begin one with `sparehand work`")
    if len(jobs) == 1:
        return jobs[0].id
    if not sys.stdin.isatty():
        named = ", ".join(f"{job.id} ({described(job)})" for job in jobs)
        raise InputError(f"{how_many(len(jobs), 'job')} are open: {named}; say which: sparehand resume JOB")
    return _asked(jobs)


def described(job: JobHeader) -> str:
    """A job in a few words: its vehicle, its procedure and who opened it."""
    return ", ".join(filter(None, (job.vehicle, job.procedure, job.technician)))


def state_of_open(store: EventStore, job: str) -> JobState:
    """An open job as it stands. Raises InputError for one that is closed."""
    state = fold(store.events(job))
    if state.progress.closed:
        raise InputError(f"job {job} is closed; see it with `sparehand hours {job}` or `sparehand card {job}`")
    return state


@contextmanager
def others_put_aside(
    store: EventStore, job: str, technicians: Collection[str], now: Moment, settings: Settings
) -> Iterator[tuple[str, ...]]:
    """Put every other open job on which one of `technicians` is at work on hold for another job; gives those jobs.

    They are claimed at once and put on hold at the end, when whatever is opened inside is durable. Raises InputError
    where one of them is open in another window, for nobody works in two places at once.
    """
    with ExitStack() as claims:
        at_work = dict(_at_work(store, job, technicians))
        for other, names in at_work.items():
            try:
                claims.enter_context(store.claim(other))
            except FailureError as error:
                raise InputError(
                    f"{' and '.join(names)} works on job {other} in another window; say 'hold for another job' "
                    "there, or name another technician here"
                ) from error
        yield tuple(at_work)
        for other, names in at_work.items():
            JobSession.resume(store, other, now, settings.bench).put_aside(names, now)


def _at_work(store: EventStore, job: str, technicians: Collection[str]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """The open jobs but `job` at which some of `technicians` are at work, and who."""
    for header in open_jobs(store):
        members = fold(store.events(header.id)).progress.crew.members if header.id != job else ()
        wanted = tuple(member.name for member in members if not member.hold and member.name in technicians)
        if wanted:
            yield header.id, wanted


def _asked(jobs: tuple[JobHeader, ...]) -> str:
    console = new_console()
    for number, job in enumerate(jobs, start=1):
        console.print(f"{number}  {job.id}  {described(job)}")
    given = console.input("Which job, by its number: ").strip()
    chosen = number_in(given, 1, len(jobs))
    if chosen is None:
        raise InputError(f"'{given}' is none of 1 to {len(jobs)}; say which: sparehand resume JOB")
    return jobs[chosen - 1].id
