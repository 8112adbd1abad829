"""The phase times of a job as rows of a table."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.bounds import SECONDS, name_in_bounds
from sparehand.log.time_rows import TimeRow, number_text
from sparehand.times.job_times import JobTimes, PhaseTime


def rows_of(times: JobTimes) -> tuple[TimeRow, ...]:
    """The rows of a job: one a phase, side and technician, with phases that were opened again summed."""
    summed: dict[tuple[str, str, str], TimeRow] = {}
    for phase in times.phases:
        row = _row_of(times, phase)
        key = (row.phase, row.side, row.technician)
        summed[key] = _sum(summed[key], row) if key in summed else row
    return tuple(summed.values())


def _row_of(times: JobTimes, phase: PhaseTime) -> TimeRow:
    return TimeRow(
        job=times.job,
        opened_at=times.opened_at.isoformat(),
        procedure=times.procedure,
        operations=";".join(times.operations),
        technician=name_in_bounds(phase.technician),
        side=phase.side or "",
        phase=phase.phase,
        work_seconds=min(SECONDS, round(phase.work_seconds, 3)),
        held_seconds=min(SECONDS, round(phase.held_seconds, 3)),
        snags=";".join(f"{snag.kind}:{number_text(round(snag.seconds, 3))}" for snag in phase.snags),
        corrosion=times.corrosion,
        support=times.support,
        complete=phase.complete,
    )


def _sum(first: TimeRow, again: TimeRow) -> TimeRow:
    return replace(
        first,
        work_seconds=round(first.work_seconds + again.work_seconds, 3),
        held_seconds=round(first.held_seconds + again.held_seconds, 3),
        snags=";".join(filter(None, (first.snags, again.snags))),
        complete=again.complete,
    )
