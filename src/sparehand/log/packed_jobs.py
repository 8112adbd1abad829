"""The times of a job as one row of the log: what its phases share once, the phases as JSON, the seconds as text.

Very many jobs have the same phases, which are then the same text, read once.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Callable, Iterable, Sequence
from datetime import UTC, datetime, timedelta
from functools import lru_cache
from typing import Any, NamedTuple

from sparehand.ground.bounds import ROWS_OF_JOB, read_json
from sparehand.ground.plurals import how_many
from sparehand.log.time_rows import (
    CellError,
    TimeRow,
    number_text,
    read_cell,
    require_inside_work,
    snag_parts,
)
from sparehand.log.wire import canonical
from sparehand.times.job_times import KeptJob, PhaseSpec, SnagTime

HEAD_COLUMNS = ("job", "opened_at", "procedure", "operations", "corrosion", "support")
PHASE_COLUMNS = ("phase", "side", "technician", "snags", "complete")
SECONDS_COLUMNS = ("work_seconds", "held_seconds")

_PLAIN = ("", "yes")
"""No snags, and complete."""
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
_MICROSECOND = timedelta(microseconds=1)
_NUMBER = r"(?:0|[1-9]\d{0,9}+)(?:\.\d{0,2}[1-9])?"
_CANONICAL = re.compile(rf"{_NUMBER},{_NUMBER}(?:;{_NUMBER},{_NUMBER})*+", re.ASCII)


NO_PHASES = "[[],[]]"


class PackedJob(NamedTuple):
    """One job. `phases` is what `phases_text` makes of them; `seconds` says `WORK,HELD` of each, with `;` between."""

    job: str
    opened_at: str
    procedure: str
    operations: str
    corrosion: str
    support: str
    phases: str
    seconds: str

    @property
    def rows(self) -> int:
        """The number of phase times."""
        return self.seconds.count(";") + 1 if self.seconds else 0

    @property
    def people(self) -> frozenset[str]:
        """Who worked, as the job calls them."""
        return people_of(self.phases)


class PhaseCells(NamedTuple):
    """What one phase time says but for its seconds, as text of a file; `complete` is yes or no."""

    phase: str
    side: str
    technician: str
    snags: str
    complete: str


def from_values(values: Iterable[str]) -> PackedJob:
    """The job of its values in their order, as text whatever a damaged log has in their place."""
    return PackedJob._make(map(str, values))


def packed(rows: Sequence[TimeRow], id_of: Callable[[str], str] = str) -> PackedJob:
    """The job of its rows, one at least; `id_of` gives what to call technicians by."""
    first = rows[0]
    phases = [
        PhaseCells(row.phase, row.side, id_of(row.technician), row.snags, "yes" if row.complete else "no")
        for row in rows
    ]
    seconds = (f"{number_text(row.work_seconds)},{number_text(row.held_seconds)}" for row in rows)
    return PackedJob(
        *(first.job, first.opened_at, first.procedure, first.operations, first.corrosion, first.support),
        *(phases_text(tuple(phases)), ";".join(seconds)),
    )


@lru_cache(maxsize=4096)
def phases_text(phases: tuple[PhaseCells, ...]) -> str:
    """The phases of a job as text; `cells_of` gives them again. Most are complete and without snags, by one person."""
    people = list(dict.fromkeys(cells.technician for cells in phases))
    told = [
        [cells.phase, cells.side, people.index(cells.technician), *(cells[3:] if cells[3:] != _PLAIN else ())]
        for cells in phases
    ]
    return canonical([people, told])


@lru_cache(maxsize=4096)
def cells_of(phases: str) -> tuple[PhaseCells, ...]:
    """The phases of a job. Raises ValueError, TypeError or IndexError for a text that is none."""
    people, told = read_json(phases)
    return tuple(PhaseCells(phase, side, people[by], *(rest or _PLAIN)) for phase, side, by, *rest in told)


@lru_cache(maxsize=4096)
def people_of(phases: str) -> frozenset[str]:
    """Who worked, as the text calls them."""
    return frozenset(cells.technician for cells in cells_of(phases))


@lru_cache(maxsize=4096)
def specs_of(phases: str) -> tuple[PhaseSpec, ...]:
    """The phases as the estimates see them."""
    return tuple(
        PhaseSpec(
            cells.phase,
            cells.side or None,  # type: ignore[arg-type]  # its reader gave a side
            cells.technician,
            tuple(SnagTime(kind=kind, seconds=seconds) for kind, seconds in snag_parts(cells.snags)),
            cells.complete == "yes",
        )
        for cells in cells_of(phases)
    )


@lru_cache(maxsize=4096)
def operations_of(operations: str) -> tuple[str, ...]:
    """The operations of a job's list of them."""
    return tuple(operations.split(";"))


def numbers_of(seconds: str) -> tuple[list[float], list[float]]:
    """The worked and the held seconds of each phase."""
    numbers = list(map(float, seconds.replace(";", ",").split(",")))
    return numbers[::2], numbers[1::2]


def kept_job(job: Sequence[Any], rework: bool, left_out: str | None) -> KeptJob:
    """The job of a PackedJob's values as the estimates see it."""
    name, opened_at, procedure, operations, corrosion, support, phases, seconds = job
    opened, parts, specs = datetime.fromisoformat(opened_at), operations_of(operations), specs_of(phases)
    work, held = numbers_of(seconds)
    return KeptJob(name, opened, procedure, parts, corrosion, support, specs, work, held, rework, left_out)


def with_people(phases: str, id_of: Callable[[str], str]) -> str:
    """The same phases with other names of technicians."""
    return phases_text(tuple(cells._replace(technician=id_of(cells.technician)) for cells in cells_of(phases)))


def row_of(
    job: PackedJob, *, rework: bool, imported: bool, left_out: str | None = None, place: int | None = None
) -> tuple[object, ...]:
    """The row of the log that keeps a job, in the order of the table's columns."""
    return place, *job, rework, imported, left_out, opened_of(job.opened_at), seal_of(job)


def opened_of(opened_at: str) -> int:
    """The microseconds from the epoch to the opening of a job."""
    return (datetime.fromisoformat(opened_at) - _EPOCH) // _MICROSECOND


def seal_of(job: Iterable[str]) -> int:
    """The checksum that shows whether a kept job is still what was written."""
    return zlib.crc32("\x1f".join(job).encode())


def admitted_job(job: PackedJob) -> PackedJob:
    """The job in its one form, if a file could hold its rows. Raises CellError for one that is out of bounds.

    This is the only way in for times from outside: of a file, of other benches, and of what is sent to them.
    """
    name, opened = read_cell("job", job.job), read_cell("opened_at", job.opened_at)
    shared = _admitted_head(job.procedure, job.operations, job.corrosion, job.support)
    phases, count, snagged = _admitted_phases(job.phases)
    if count > ROWS_OF_JOB:
        raise CellError("job", f"has {how_many(count, 'phase time')}, {ROWS_OF_JOB} at most")
    seconds = job.seconds if _CANONICAL.fullmatch(job.seconds) else _admitted_seconds(job.seconds)
    if count != (seconds.count(";") + 1 if seconds else 0):
        raise CellError("phase", "has other phases than times")
    for place, snags in snagged:
        require_inside_work(snags, numbers_of(seconds)[0][place])
    return PackedJob(str(name), str(opened), *shared, phases, seconds)


@lru_cache(maxsize=4096)
def _admitted_head(procedure: str, operations: str, corrosion: str, support: str) -> tuple[str, str, str, str]:
    return (
        str(read_cell("procedure", procedure)),
        str(read_cell("operations", operations)),
        str(read_cell("corrosion", corrosion)),
        str(read_cell("support", support)),
    )


@lru_cache(maxsize=4096)
def _admitted_phases(phases: str) -> tuple[str, int, tuple[tuple[int, str], ...]]:
    """The text in its one form, its number of phases, and those with snags. A technician may be nobody."""
    try:
        found = cells_of(phases)
    except (IndexError, TypeError, ValueError) as error:
        raise CellError("phase", f"has a value that cannot be read ({error})") from error
    for cells in found:
        for column, text in zip(PHASE_COLUMNS, cells, strict=True):
            read_cell(column, "nobody" if column == "technician" and text == "" else text)
    read = tuple(cells._replace(snags=str(read_cell("snags", cells.snags))) for cells in found)
    snagged = tuple((place, cells.snags) for place, cells in enumerate(read) if cells.snags)
    return phases_text(read), len(read), snagged


def _admitted_seconds(seconds: str) -> str:
    pairs = [pair.split(",") for pair in seconds.split(";") if seconds]
    if any(len(pair) != len(SECONDS_COLUMNS) for pair in pairs):
        raise CellError("work_seconds", "stand for no phase")
    texts = ((read_cell(column, text) for column, text in zip(SECONDS_COLUMNS, pair, strict=True)) for pair in pairs)
    return ";".join(",".join(number_text(float(str(number))) for number in pair) for pair in texts)
