"""The times of a job as one row of the log: what its phases share once, the phases as JSON, the seconds as text.

Very many jobs have the same phases, which are then the same text, read once.
"""

from __future__ import annotations

import re
import zlib
from collections.abc import Callable, Iterable, Sequence
from functools import lru_cache
from typing import NamedTuple

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
from sparehand.times.job_times import PhaseSpec, SnagTime

HEAD_COLUMNS = ("job", "opened_at", "procedure", "operations", "corrosion", "support")
PHASE_COLUMNS = ("phase", "side", "technician", "snags", "complete")
SECONDS_COLUMNS = ("work_seconds", "held_seconds")

_NUMBER = r"(?:0|[1-9]\d{0,9}+)(?:\.\d{0,2}[1-9])?"
_CANONICAL = re.compile(rf"{_NUMBER},{_NUMBER}(?:;{_NUMBER},{_NUMBER})*+", re.ASCII)


class PackedJob(NamedTuple):
    """One job. `phases` is a JSON list of PhaseCells; `seconds` says `WORK,HELD` of each, with `;` between."""

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
    """The phases of a job as text; `cells_of` gives them again."""
    return canonical(phases)


@lru_cache(maxsize=4096)
def cells_of(phases: str) -> tuple[PhaseCells, ...]:
    """The phases of a job. Raises ValueError or TypeError for a text that is none."""
    return tuple(PhaseCells(*cells) for cells in read_json(phases))


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


def numbers_of(seconds: str) -> tuple[list[float], list[float]]:
    """The worked and the held seconds of each phase."""
    numbers = [float(number) for number in seconds.replace(";", ",").split(",")]
    return numbers[::2], numbers[1::2]


def with_people(phases: str, id_of: Callable[[str], str]) -> str:
    """The same phases with other names of technicians."""
    return phases_text(tuple(cells._replace(technician=id_of(cells.technician)) for cells in cells_of(phases)))


def seal_of(job: Iterable[str]) -> int:
    """The checksum that shows whether a kept job is still what was written."""
    return zlib.crc32("\x1f".join(job).encode())


def admitted_job(job: PackedJob) -> PackedJob:
    """The job in its one form, if a file could hold its rows. Raises CellError for one that is out of bounds.

    This is the only way in for times from outside: of a file, of other benches, and of what is sent to them.
    """
    if job.rows > ROWS_OF_JOB:
        raise CellError("job", f"has {how_many(job.rows, 'phase time')}, {ROWS_OF_JOB} at most")
    name, opened = read_cell("job", job.job), read_cell("opened_at", job.opened_at)
    shared = _admitted_head(job.procedure, job.operations, job.corrosion, job.support)
    phases, snagged = _admitted_phases(job.phases)
    seconds = job.seconds if _CANONICAL.fullmatch(job.seconds) else _admitted_seconds(job.seconds)
    taken = PackedJob(str(name), str(opened), *shared, phases, seconds)
    if len(cells_of(phases)) != taken.rows:
        raise CellError("phase", "has other phases than times")
    for place, snags in snagged:
        require_inside_work(snags, numbers_of(seconds)[0][place])
    return taken


@lru_cache(maxsize=4096)
def _admitted_head(procedure: str, operations: str, corrosion: str, support: str) -> tuple[str, str, str, str]:
    return (
        str(read_cell("procedure", procedure)),
        str(read_cell("operations", operations)),
        str(read_cell("corrosion", corrosion)),
        str(read_cell("support", support)),
    )


@lru_cache(maxsize=4096)
def _admitted_phases(phases: str) -> tuple[str, tuple[tuple[int, str], ...]]:
    """The text in its one form; the places of phases with snags, and these. A technician may be nobody."""
    try:
        found = cells_of(phases)
    except (TypeError, ValueError) as error:
        raise CellError("phase", f"has a value that cannot be read ({error})") from error
    for cells in found:
        for column, text in zip(PHASE_COLUMNS, cells, strict=True):
            read_cell(column, "nobody" if column == "technician" and text == "" else text)
    read = tuple(cells._replace(snags=str(read_cell("snags", cells.snags))) for cells in found)
    return phases_text(read), tuple((place, cells.snags) for place, cells in enumerate(read) if cells.snags)


def _admitted_seconds(seconds: str) -> str:
    pairs = [pair.split(",") for pair in seconds.split(";") if seconds]
    if any(len(pair) != len(SECONDS_COLUMNS) for pair in pairs):
        raise CellError("work_seconds", "stand for no phase")
    texts = ((read_cell(column, text) for column, text in zip(SECONDS_COLUMNS, pair, strict=True)) for pair in pairs)
    return ";".join(",".join(number_text(float(str(number))) for number in pair) for pair in texts)
