"""Both corners at once: nothing is lost by it, and the waiting is used."""

from __future__ import annotations

from pathlib import Path

import pytest

from job.presence import elapsed_of, presence
from simulation.corners import work_both
from sparehand.ground.places import bundled
from sparehand.job.open_items import open_items
from sparehand.job.state import fold
from sparehand.procedures.load import load_procedure

JOBS = Path(__file__).parents[1] / "job"
FILES = (JOBS / "axle_job.yaml", JOBS / "arm_job.yaml", *sorted(bundled("procedures").glob("*.yaml")))


@pytest.mark.parametrize("file", FILES, ids=lambda file: file.stem)
def test_a_job_worked_on_both_sides_at_once_is_complete_and_never_longer(file: Path) -> None:
    procedure = load_procedure(file).procedure
    apart, together = work_both(procedure, interleave=False), work_both(procedure, interleave=True)
    assert together.table.state.progress.done == apart.table.state.progress.done
    assert not [item for item in open_items(together.table.state) if "part" not in item]
    assert together.elapsed_minutes <= apart.elapsed_minutes + 1e-9
    assert together.elapsed_minutes - together.waited_minutes == pytest.approx(
        apart.elapsed_minutes - apart.waited_minutes
    )


@pytest.mark.parametrize("file", FILES[:2], ids=lambda file: file.stem)
def test_where_each_side_soaks_half_of_the_waiting_or_more_is_used(file: Path) -> None:
    procedure = load_procedure(file).procedure
    apart, together = work_both(procedure, interleave=False), work_both(procedure, interleave=True)
    assert together.waited_minutes <= apart.waited_minutes / 2


@pytest.mark.parametrize("file", FILES[:2], ids=lambda file: file.stem)
def test_time_is_conserved_over_all_sides(file: Path) -> None:
    table = work_both(load_procedure(file).procedure, interleave=True).table
    assert elapsed_of(table.state.ledger.all_spans()) == presence(table.history)
    assert fold(table.history) == table.state
