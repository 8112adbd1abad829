"""Phase times in a Parquet file say what those in a CSV file say."""

from __future__ import annotations

import builtins
from datetime import UTC, datetime
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest

import needs
from log.test_times_csv import job, phase
from sparehand.ground.errors import FailureError, InputError
from sparehand.log.job_rows import rows_of
from sparehand.log.time_rows import COLUMNS
from sparehand.log.times_parquet import export_times_parquet

JOBS = (job("j1", phase(), phase(side=None, phase="clean", snags=())), job("j2", phase(complete=False)))


def test_every_row_is_there_with_types_an_analyst_expects(tmp_path: Path) -> None:
    needs.skip_unless(_has_pyarrow(), "pyarrow, in the [parquet] extra")
    from pyarrow import parquet

    path = tmp_path / "times.parquet"
    assert export_times_parquet(JOBS, path) == 3
    rows = parquet.read_table(path).to_pylist()
    assert [tuple(row) for row in rows] == [COLUMNS] * 3
    for written, row in zip(rows, (row for each in JOBS for row in rows_of(each)), strict=True):
        assert written == vars(row) | {"opened_at": datetime(2026, 3, 2, 7, 0, tzinfo=UTC)}


def test_no_jobs_give_a_file_with_columns_and_no_rows(tmp_path: Path) -> None:
    needs.skip_unless(_has_pyarrow(), "pyarrow, in the [parquet] extra")
    assert export_times_parquet((), tmp_path / "times.parquet") == 0
    assert (tmp_path / "times.parquet").stat().st_size > 0


def test_a_place_that_cannot_be_written_is_one_line(tmp_path: Path) -> None:
    needs.skip_unless(_has_pyarrow(), "pyarrow, in the [parquet] extra")
    with pytest.raises(FailureError, match="cannot be written"):
        export_times_parquet(JOBS, tmp_path / "nowhere" / "times.parquet")


def test_without_the_library_it_says_how_to_have_it(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    real = builtins.__import__

    def missing(name: str, *rest: Any) -> object:
        if name == "pyarrow":
            raise ImportError(name)
        return real(name, *rest)

    monkeypatch.setattr(builtins, "__import__", missing)
    with pytest.raises(InputError, match=r"sparehand\[parquet\]"):
        export_times_parquet(JOBS, tmp_path / "times.parquet")


def _has_pyarrow() -> bool:
    return find_spec("pyarrow") is not None
