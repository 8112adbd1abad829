"""What a file adds to one job: its rows held against each other and against what the log has of the job. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import lru_cache
from typing import NamedTuple

from sparehand.ground.bounds import ROWS_OF_JOB
from sparehand.log.jobs_in_file import FileJob, RowError
from sparehand.log.packed_jobs import HEAD_COLUMNS, PackedJob, PhaseCells, cells_of, phases_text

_VALUES = (
    *("opened_at", "procedure", "operations", "work_seconds", "held_seconds"),
    *("snags", "corrosion", "support", "complete"),
)
"""What two rows of one phase, side and technician must say alike, in the order of the file's columns."""
_OF_JOB = tuple(_VALUES.index(column) for column in HEAD_COLUMNS[1:])

Key = tuple[str, str, str]
"""A phase, a side and a technician."""


class KnownJob(NamedTuple):
    """A job as the log has it, at its place there; `imported`, or this bench's own."""

    place: int
    imported: bool
    job: PackedJob


class Merged(NamedTuple):
    """How many rows were known, which are refused, and the whole job with its `new` rows; none where nothing is new."""

    known: int
    errors: list[RowError]
    job: FileJob | None
    new: int


class JobRow(NamedTuple):
    """One row of a packed job. `values` are those of `_VALUES`."""

    line: int
    cells: PhaseCells
    seconds: str
    values: tuple[str, ...]

    def key(self, same: Mapping[str, str]) -> Key:
        """What tells it from others; `same` gives the one id of people who have several."""
        return self.cells.phase, self.cells.side, same.get(self.cells.technician, self.cells.technician)


def rows_in(job: PackedJob, line: int) -> Iterator[JobRow]:
    """The rows of a job, whose first stands in a line."""
    for place, (cells, pair) in enumerate(zip(cells_of(job.phases), job.seconds.split(";"), strict=True)):
        seconds = pair.split(",")
        head = (job.opened_at, job.procedure, job.operations)
        values = (*head, *seconds, cells.snags, job.corrosion, job.support, cells.complete)
        yield JobRow(line + place, cells, pair, values)


@lru_cache(maxsize=4096)
def distinct_rows(phases: str) -> int:
    """How many of a job's phases differ in phase, side or technician."""
    return len({cells[:3] for cells in cells_of(phases)})


def merge(known: KnownJob | None, parts: Sequence[FileJob], same: Mapping[str, str]) -> Merged:
    """The parts of a job that a file has, in the order of their lines, beside what the log has of it."""
    before = list(rows_in(known.job, 0)) if known else []
    logged = {row.key(same): row for row in before}
    told: dict[Key, JobRow] = {}
    errors: list[RowError] = []
    new: list[JobRow] = []
    alike = 0
    for row in (row for part in parts for row in rows_in(part.job, part.line)):
        key = row.key(same)
        other = told.get(key) or logged.get(key)
        if other is None:
            new.append(row)
        elif row.values == other.values:
            alike += 1
        else:
            errors.append(_differs(row, other, range(len(_VALUES)), in_log=key not in told))
        told.setdefault(key, row)
    fitting = list(_fitting(new, before[0] if before else None, errors))
    if known and not known.imported:
        errors += (RowError(row.line, "phase", "this bench recorded no such time of its own job") for row in fitting)
    elif len(fitting) + len(before) > ROWS_OF_JOB:
        errors += (RowError(row.line, "job", f"would have more than {ROWS_OF_JOB:,} phase times") for row in fitting)
    elif fitting:
        whole = _whole(known.job if known else parts[0].job, [*before, *fitting])
        return Merged(alike, errors, FileJob(fitting[0].line, whole), len(fitting))
    return Merged(alike, errors, None, 0)


def people_who_agree(known: KnownJob | None, parts: Sequence[FileJob]) -> Iterator[tuple[str, str]]:
    """The ids of two technicians, in the file and in the log, for each pair of rows alike in all but the technician."""
    theirs: dict[tuple[str, ...], list[str]] = {}
    for row in rows_in(known.job, 0) if known else ():
        theirs.setdefault((*row.cells[:2], *row.values), []).append(row.cells.technician)
    for row in (row for part in parts for row in rows_in(part.job, part.line)):
        for id in theirs.get((*row.cells[:2], *row.values), ()):
            yield row.cells.technician, id


def _fitting(rows: Iterable[JobRow], first: JobRow | None, errors: list[RowError]) -> Iterator[JobRow]:
    """The rows that say of the job what its first row says, in the log if it is there; the others go to `errors`."""
    in_log = first is not None
    for row in rows:
        first = first or row
        if all(row.values[place] == first.values[place] for place in _OF_JOB):
            yield row
        else:
            errors.append(_differs(row, first, _OF_JOB, in_log=in_log))


def _differs(row: JobRow, other: JobRow, places: Iterable[int], *, in_log: bool) -> RowError:
    place = next(place for place in places if row.values[place] != other.values[place])
    where = "the log" if in_log else f"line {other.line}"
    here, there = row.values[place], other.values[place]
    return RowError(row.line, _VALUES[place], f"'{here}' differs from '{there}' of the same row or job in {where}")


def _whole(job: PackedJob, rows: Sequence[JobRow]) -> PackedJob:
    seconds = ";".join(row.seconds for row in rows)
    return job._replace(phases=phases_text(tuple(row.cells for row in rows)), seconds=seconds)
