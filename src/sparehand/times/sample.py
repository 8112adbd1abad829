"""From job times to what the estimates read: each phase once a job, snags taken out, repetitions counted."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from types import MappingProxyType

from sparehand.procedures.model import Procedure, Side
from sparehand.procedures.plan import PhaseKey
from sparehand.times.job_times import JobTimes, PhaseTime
from sparehand.times.time_cells import unit_of
from sparehand.times.what_counts import left_out_reason

TYPICAL_SECONDS = 1200.0
"""What a phase without a plan is first taken to need: twenty minutes (this project's choice)."""


@dataclass(frozen=True)
class Cell:
    """One phase on one side in one job. `seconds` are worked seconds without snags; `weight` is its share of trust."""

    phase: str
    side: Side | None
    second: bool
    technician: str
    seconds: float
    complete: bool
    weight: float = 1.0

    @property
    def key(self) -> PhaseKey:
        """The phase and its side."""
        return PhaseKey(self.phase, self.side)


@dataclass(frozen=True)
class Snag:
    """One snag as the estimates see it."""

    phase: str
    kind: str
    seconds: float


@dataclass(frozen=True)
class SampleJob:
    """One job, cleaned. `doublings` is log2 of which repetition it was for its technician, in half steps."""

    job: str
    procedure: str
    operations: tuple[str, ...]
    technician: str
    corrosion: str
    support: str
    doublings: float
    cells: tuple[Cell, ...]
    snags: tuple[Snag, ...]
    held_seconds: float
    unit: int = 0
    """The unit of calendar time in which it was opened (`time_cells`)."""
    copies: float = 1.0
    """How many jobs it stands for, where a log keeps only some of very many such jobs."""

    @property
    def technicians(self) -> tuple[str, ...]:
        """Who led each phase."""
        return tuple(cell.technician for cell in self.cells)

    @property
    def plain(self) -> bool:
        """Whether every phase is complete and fully trusted, so that additive statistics say all there is."""
        return all(cell.complete and cell.weight == 1.0 for cell in self.cells)


@dataclass(frozen=True)
class Plans:
    """The planned seconds of phases, by procedure and phase."""

    seconds: Mapping[tuple[str, str], float] = field(default_factory=dict)

    @classmethod
    def of(cls, procedures: Iterable[Procedure]) -> Plans:
        """The plans that the procedures state, under their present phase names."""
        return cls(
            {
                (procedure.id, phase.id): phase.planned_minutes * 60
                for procedure in procedures
                for phase in procedure.phases
                if phase.planned_minutes
            }
        )

    def has(self, procedure: str, phase: str) -> bool:
        """Whether a plan is known for the phase."""
        return (procedure, phase) in self.seconds

    def of_procedure(self, procedure: str) -> dict[str, float]:
        """The planned seconds of one procedure's phases."""
        return {phase: seconds for (name, phase), seconds in self.seconds.items() if name == procedure}

    def reference(self, procedure: str, phase: str) -> float:
        """The planned seconds, or the typical time where there is no plan."""
        return self.seconds.get((procedure, phase), TYPICAL_SECONDS)


def clean_jobs(
    jobs: Iterable[JobTimes],
    procedures: Iterable[Procedure] = (),
    done: Mapping[tuple[str, str], int] = MappingProxyType({}),
) -> tuple[SampleJob, ...]:
    """The jobs in the order in which they were opened, without rework and those that do not count or hold no work.

    Phases and operations are given the names that the procedures now have for them. `done` counts earlier jobs, which
    are not among these, by (technician, procedure).
    """
    files = tuple(procedures)
    renamed, plans = _renamed(files), Plans.of(files)
    done = Counter(done)
    sample: list[SampleJob] = []
    for job in sorted(jobs, key=lambda each: (each.opened_at, each.job)):
        if job.rework:
            continue
        named = _now_named(job, renamed)
        cleaned = None if left_out_reason(named, plans.of_procedure(job.procedure)) else _clean(named, done)
        if cleaned is not None:
            done[cleaned.technician, cleaned.procedure] += 1
            sample.append(cleaned)
    return tuple(sample)


def doublings_of(repetition: int) -> float:
    """log2 of the repetition (1 is the first) in half steps, so that jobs alike fall together."""
    return round(2 * math.log2(max(1, repetition))) / 2


def _renamed(procedures: Iterable[Procedure]) -> dict[tuple[str, str], str]:
    renamed: dict[tuple[str, str], str] = {}
    for procedure in procedures:
        for phase in procedure.phases:
            renamed.update({(procedure.id, before): phase.id for before in phase.was})
        for operation in procedure.operations:
            renamed.update({(procedure.id, before): operation.id for before in operation.was})
    return renamed


def _now_named(job: JobTimes, renamed: Mapping[tuple[str, str], str]) -> JobTimes:
    if not any((job.procedure, name) in renamed for name in (*job.operations, *(part.phase for part in job.phases))):
        return job
    phases = tuple(
        part.model_copy(update={"phase": renamed.get((job.procedure, part.phase), part.phase)}) for part in job.phases
    )
    operations = tuple(renamed.get((job.procedure, operation), operation) for operation in job.operations)
    return job.model_copy(update={"phases": phases, "operations": operations})


def _clean(job: JobTimes, done: Counter[tuple[str, str]]) -> SampleJob | None:
    cells = _cells(job.phases)
    if not cells:
        return None
    technician = lead_of(job.phases)
    snags = tuple(
        Snag(part.phase, snag.kind, snag.seconds)
        for part in job.phases
        for snag in part.snags
        if _countable(snag.seconds) and snag.seconds > 0
    )
    return SampleJob(
        job=job.job,
        procedure=job.procedure,
        operations=job.operations,
        technician=technician,
        corrosion=job.corrosion,
        support=job.support,
        doublings=doublings_of(done[technician, job.procedure] + 1),
        cells=cells,
        snags=snags,
        held_seconds=sum(part.held_seconds for part in job.phases if _countable(part.held_seconds)),
        unit=unit_of(job.opened_at),
    )


def lead_of(parts: Sequence[PhaseTime]) -> str:
    """Who worked most on a job."""
    if len({part.technician for part in parts}) == 1:
        return parts[0].technician
    worked: Counter[str] = Counter()
    for part in parts:
        if math.isfinite(part.work_seconds):
            worked[part.technician] += max(1, round(part.work_seconds))
    return worked.most_common(1)[0][0]


def _cells(parts: Sequence[PhaseTime]) -> tuple[Cell, ...]:
    """One cell a phase and side: several technicians' times in it are labour and add up."""
    grouped: dict[PhaseKey, list[PhaseTime]] = {}
    for part in parts:
        if _countable(part.work_seconds):
            grouped.setdefault(PhaseKey(part.phase, part.side), []).append(part)
    cells: list[Cell] = []
    seen: set[str] = set()
    for key, group in grouped.items():
        snagged = sum(snag.seconds for part in group for snag in part.snags if _countable(snag.seconds))
        seconds = sum(part.work_seconds for part in group) - snagged
        complete = any(part.complete for part in group)
        if seconds < 1 and (not complete or snagged):
            continue
        lead = max(group, key=lambda part: part.work_seconds).technician
        cells.append(Cell(key.phase, key.side, key.phase in seen, lead, max(seconds, 1.0), complete))
        seen.add(key.phase)
    return tuple(cells)


def _countable(seconds: float) -> bool:
    return math.isfinite(seconds) and seconds >= 0
