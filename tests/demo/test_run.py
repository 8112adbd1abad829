"""The demo makes the folder that it writes to, wherever its data lie."""

from __future__ import annotations

from pathlib import Path

import pytest

from sparehand.demo import run
from sparehand.ground.errors import FailureError


class ReachedError(Exception):
    """The demo came as far as its job."""


def test_the_folder_is_made_before_the_job_though_the_data_lie_elsewhere(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def play(_folder: Path, _store: object, wav: Path, *_: object) -> None:
        assert wav.parent.is_dir()
        raise ReachedError

    monkeypatch.setattr(run, "_play", play)
    with pytest.raises(ReachedError):
        run.run_demo(tmp_path / "new" / "demo", 20.0, tmp_path / "data")


def test_a_folder_that_cannot_be_made_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("here")
    with pytest.raises(FailureError, match="no folder can be made there"):
        run.run_demo(tmp_path / "file" / "demo", 20.0, tmp_path / "data")
