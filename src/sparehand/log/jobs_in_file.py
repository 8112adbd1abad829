"""The jobs in a file of phase times, read by columns: what many rows say alike is looked at once.

A block of the file in which anything is out of the ordinary (a cell in quotes, a wrong value) is read row by row.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial
from itertools import chain, groupby
from operator import itemgetter
from pathlib import Path
from typing import NamedTuple, TextIO

from sparehand.ground.bounds import LINE_CHARACTERS
from sparehand.ground.errors import InputError
from sparehand.log.packed_jobs import HEAD_COLUMNS, PackedJob, PhaseCells, admitted_job, packed, phases_text
from sparehand.log.time_rows import COLUMNS, CellError, TimeRow, read_row

_BLOCK_CHARACTERS = 1 << 17
"""Few enough that what is made of them stays in the processor's cache."""
_ROWS_AT_ONCE = 5_000
_CELL, _NAME, _NUMBER = r'[^,"\r\n]*+', r'[^,"\r\n]++', r"[0-9]++(?:\.[0-9]++)?+"
_LINE = re.compile(
    rf"^({_CELL},{_CELL},{_CELL},{_CELL}),({_NAME},{_CELL},{_CELL}),({_NUMBER},{_NUMBER}),"
    rf"({_CELL},{_CELL},{_CELL},{_CELL})\r?\n",
    re.MULTILINE,
)
"""Groups: what is said of the job; technician, side and phase; seconds; snags, conditions and whether complete."""
_HEADER_CHARACTERS = 1_000
"""Of the first line; the right one has fewer."""


@dataclass(frozen=True)
class RowError:
    """A row that cannot be taken: its line in the file (from 1), the column, and why."""

    line: int
    column: str
    says: str

    def __str__(self) -> str:
        return f"line {self.line}, {self.column}: {self.says}"


class FileJob(NamedTuple):
    """Rows of one job that stand in the file one after the other, from `line` on; technicians by name."""

    line: int
    job: PackedJob


class TimesFile:
    """A file of phase times, whose wrong rows go to `refuse`, and the share read to `progress`, block by block."""

    def __init__(
        self, path: Path, file: TextIO, refuse: Callable[[RowError], None], progress: Callable[[float], None]
    ) -> None:
        self._path, self._file = path, file
        self._refuse, self._progress = refuse, progress
        self._line = 1

    def blocks(self) -> Iterator[list[FileJob]]:
        """The jobs of the file, some thousands of rows at a time. Raises InputError where it is no such file."""
        size = max(1, self._path.stat().st_size)
        self._require_header()
        rest = ""
        while block := self._file.read(_BLOCK_CHARACTERS):
            if len(rest) > LINE_CHARACTERS:
                raise InputError(
                    f"{self._path}, line {self._line}: longer than any row; this is no file of phase times"
                )
            text, newline, rest = (rest + block).rpartition("\n")
            if '"' in block:
                # Quoted text may go on behind the block.
                begun = io.StringIO(text + newline + rest + self._file.readline(LINE_CHARACTERS), newline="")
                yield from self._one_by_one(chain(begun, iter(partial(self._file.readline, LINE_CHARACTERS), "")))
                rest = ""
            else:
                yield from self._block(text + newline)
            self._progress(min(1.0, self._file.buffer.tell() / size))
        yield from self._block(rest)
        self._progress(1.0)

    def _block(self, text: str) -> Iterator[list[FileJob]]:
        jobs = self._by_columns(text)
        if jobs is None:
            yield from self._one_by_one(io.StringIO(text, newline=""))
        else:
            self._line += text.count("\n")
            yield jobs

    def _by_columns(self, text: str) -> list[FileJob] | None:
        """The jobs of whole lines; None where any is not plain and right."""
        rows = _LINE.findall(text)
        if len(rows) < text.count("\n") or (text and not text.endswith("\n")):
            return None
        jobs: list[FileJob] = []
        line = self._line
        for told, of_job in groupby(rows, key=itemgetter(0)):
            _, who, seconds, what = zip(*of_job, strict=True)
            try:
                job = admitted_job(PackedJob._make((*told.split(","), *_said(who, what), ";".join(seconds))))
            except CellError:
                return None
            jobs.append(FileJob(line, job))
            line += len(seconds)
        return jobs

    def _one_by_one(self, lines: Iterable[str]) -> Iterator[list[FileJob]]:
        reader = csv.reader(lines, strict=True)
        begun = self._line
        rows: list[tuple[int, TimeRow]] = []
        cells: list[str] | None = []
        while cells is not None:
            self._line = begun + reader.line_num
            try:
                if cells := next(reader, None):
                    rows.append((self._line, read_row(cells)))
            except csv.Error as error:
                self._refuse(RowError(self._line, COLUMNS[0], f"the line cannot be read: {error}"))
            except CellError as error:
                self._refuse(RowError(self._line, error.column, error.says))
            if len(rows) == _ROWS_AT_ONCE or cells is None:
                yield list(_jobs_of(rows))
                rows = []

    def _require_header(self) -> None:
        header = next(csv.reader([self._file.readline(_HEADER_CHARACTERS)]), [])
        self._line += 1
        if header != list(COLUMNS):
            differing = next(
                (place for place, pair in enumerate(zip(COLUMNS, header, strict=False)) if pair[0] != pair[1]), None
            )
            place = min(len(header), len(COLUMNS)) if differing is None else differing
            wanted = f"'{COLUMNS[place]}' expected" if place < len(COLUMNS) else "nothing more expected"
            raise InputError(
                f"{self._path}, line 1, column {place + 1}: {wanted}; the first line must be: {','.join(COLUMNS)}"
            )


@lru_cache(maxsize=4096)
def _said(who: Sequence[str], what: Sequence[str]) -> tuple[str, str, str]:
    """The conditions of a job and its phases. Raises CellError where its rows say different conditions."""
    cells = []
    conditions = set()
    for person, more in zip(who, what, strict=True):
        technician, side, phase = person.split(",")
        snags, corrosion, support, complete = more.split(",")
        cells.append(PhaseCells(phase, side, technician, snags, complete))
        conditions.add((corrosion, support))
    if len(conditions) > 1:
        raise CellError("corrosion", "differs between rows of the job")
    return *conditions.pop(), phases_text(tuple(cells))


def _jobs_of(rows: Sequence[tuple[int, TimeRow]]) -> Iterator[FileJob]:
    """Rows with their lines, those of a job that follow each other together."""

    def run(numbered: tuple[int, tuple[int, TimeRow]]) -> tuple[object, ...]:
        place, (line, row) = numbered
        return line - place, *(getattr(row, column) for column in HEAD_COLUMNS)

    for _, some in groupby(enumerate(rows), key=run):
        of_job = [each for _, each in some]
        yield FileJob(of_job[0][0], packed([row for _, row in of_job]))
