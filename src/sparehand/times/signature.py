"""What makes jobs alike: jobs with the same signature differ only by chance."""

from __future__ import annotations

from dataclasses import dataclass

from sparehand.times.sample import SampleJob


@dataclass(frozen=True, order=True)
class Entry:
    """What distinguishes one phase time from another inside a job."""

    phase: str
    second: bool
    technician: str


@dataclass(frozen=True)
class Signature:
    """Jobs with the same signature differ only by chance."""

    procedure: str
    corrosion: str
    support: str
    doublings: float
    entries: tuple[Entry, ...]


def signature_of(job: SampleJob) -> tuple[Signature, tuple[int, ...]]:
    """The job's signature and the order in which its cells stand in it."""
    entries = [Entry(cell.phase, cell.second, cell.technician) for cell in job.cells]
    order = tuple(sorted(range(len(entries)), key=lambda place: entries[place]))
    ordered = tuple(entries[place] for place in order)
    return Signature(job.procedure, job.corrosion, job.support, job.doublings, ordered), order
