"""Times and lessons of a phase's earlier id count as its own, and the records stay as they were."""

from __future__ import annotations

from pathlib import Path

import pytest

from log.demo import PROCEDURE
from sparehand.cli.command_line import main
from sparehand.ground.errors import InputError
from sparehand.log.phase_renames import remember_rename
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.time_rows import COLUMNS
from sparehand.procedures.earlier_names import FILE, with_renames
from sparehand.procedures.library import find_procedure

ROW = "card-1,2026-03-02T08:00:00+01:00,engine-mounts,torque-arm,Ida Demo,,arm-off,900,0,,none,lift,yes"


def remaps(folder: Path, *words: str) -> int:
    with pytest.raises(SystemExit) as stop:
        main(["times", "remap", *words, "--data", str(folder)])
    return int(stop.value.code or 0)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "times.csv").write_text(f"{','.join(COLUMNS)}\n{ROW}\n")
    with pytest.raises(SystemExit):
        main(["times", "import", str(tmp_path / "times.csv"), "--data", str(tmp_path)])
    return tmp_path


def test_a_quote_counts_the_times_of_the_earlier_id(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert remaps(folder, "engine-mounts", "arm-off", "remove-arm") == 0
    assert "1 time and 0 lessons of 'arm-off' count as 'remove-arm'" in capsys.readouterr().out
    phases = {phase.id: phase.was for phase in find_procedure("engine-mounts", folder).procedure.phases}
    assert "arm-off" in phases["remove-arm"]
    with pytest.raises(SystemExit):
        main(["quote", "engine-mounts", "--operations", "torque-arm", "--json", "--data", str(folder)])
    quoted = capsys.readouterr().out
    assert '"basis":"times"' in quoted
    store = SqliteEventStore(folder / "log.sqlite", read_only=True)
    assert [phase.phase for job in store.times.imported() for phase in job.phases] == ["arm-off"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("arm-off", "no-such-phase"), "has no phase 'no-such-phase'"),
        (("never-there", "remove-arm"), "nothing is known of a phase 'never-there'"),
    ],
)
def test_what_cannot_be_moved_is_said_in_one_line(
    folder: Path, words: tuple[str, str], says: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert remaps(folder, "engine-mounts", *words) == 2
    assert says in capsys.readouterr().err


def test_a_phase_that_is_still_there_keeps_its_times(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="still has a phase 'fit'"):
        remember_rename(tmp_path, PROCEDURE, "fit", "fit")


def test_a_damaged_file_is_named(tmp_path: Path) -> None:
    assert with_renames(PROCEDURE, tmp_path) is PROCEDURE
    (tmp_path / FILE).write_text("[1")
    with pytest.raises(InputError, match=FILE):
        with_renames(PROCEDURE, tmp_path)
