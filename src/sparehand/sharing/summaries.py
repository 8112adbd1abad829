"""Summaries as the shared database gives them, and as the estimates see them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any

from sqlalchemy import Row

from sparehand.log.time_rows import TimeRow
from sparehand.sharing.parcel import SentPhase, SentSummary

BENCH_MARK = "@"
"""What stands between the name of a job and that of its bench, in the shop."""
COLUMNS = """
    s.job, s.month, s.revision, s.name, s.bench, s.opened_at, s.procedure, s.operations, s.corrosion, s.support,
    s.rework, s.imported, s.closed, p.phase, p.side, p.technician, p.work_seconds, p.held_seconds, p.snags, p.complete
"""
"""What `summaries_in` wants of a summary `s` and its phase times `p`."""


def summaries_in(rows: Iterable[Row[Any]]) -> Iterator[SentSummary]:
    """The summaries of rows that come job by job; one without a time has a row without a phase."""
    for _, of_job in groupby(rows, key=lambda row: (row.job, row.revision)):
        first, *others = of_job
        yield SentSummary(
            job=first.job,
            month=first.month,
            revision=first.revision,
            name=name_in_shop(first.name, first.bench, imported=first.imported),
            opened_at=first.opened_at,
            procedure=first.procedure,
            operations=first.operations,
            corrosion=first.corrosion,
            support=first.support,
            rework=first.rework,
            imported=first.imported,
            closed=first.closed,
            phases=tuple(_phase(row) for row in (first, *others) if row.phase is not None),
        )


def name_in_shop(name: str, bench: str, *, imported: bool) -> str:
    """The job's name in the shop: `JOB@BENCH`; an imported job has one name wherever it was imported."""
    return name if imported else f"{name}{BENCH_MARK}{bench}"


def time_rows(summary: SentSummary) -> tuple[TimeRow, ...]:
    """The rows of a summary, technicians by their ids."""
    return tuple(
        TimeRow(
            job=summary.name,
            opened_at=summary.opened_at,
            procedure=summary.procedure,
            operations=summary.operations,
            technician=phase.technician,
            side=phase.side,
            phase=phase.phase,
            work_seconds=phase.work_seconds,
            held_seconds=phase.held_seconds,
            snags=phase.snags,
            corrosion=summary.corrosion,
            support=summary.support,
            complete=phase.complete,
        )
        for phase in summary.phases
    )


def _phase(row: Row[Any]) -> SentPhase:
    return SentPhase(row.phase, row.side, row.technician, row.work_seconds, row.held_seconds, row.snags, row.complete)
