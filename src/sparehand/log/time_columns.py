"""Many rows of phase times read at once, by columns: each different cell of a column is read once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from sparehand.log.time_rows import COLUMNS, READERS, require_inside_work, sealed

_WORK, _SNAGS = COLUMNS.index("work_seconds"), COLUMNS.index("snags")


def read_by_columns(lines: Sequence[int], cells: Sequence[Sequence[str]]) -> Iterator[tuple[object, ...]]:
    """Line, values in the order of COLUMNS and seal of each row, as `time_rows.read_row` would read them one by one.

    Raises ValueError or CellError where any of them is wrong; which one, reading them one by one tells.
    """
    columns = list(zip(*cells, strict=True))
    values = [_read(column, texts) for column, texts in zip(COLUMNS, columns, strict=True)]
    for snags, work in zip(values[_SNAGS], values[_WORK], strict=True):
        if snags:
            require_inside_work(str(snags), float(str(work)))
    return zip(lines, *values, map(sealed, zip(*values, strict=True)), strict=True)


def _read(column: str, texts: Sequence[str]) -> list[object]:
    known = {text: READERS[column](text) for text in set(texts)}
    return [known[text] for text in texts]
