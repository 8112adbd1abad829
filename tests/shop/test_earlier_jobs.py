"""What the shop's earlier jobs tell the next one."""

from __future__ import annotations

from pathlib import Path

from job.table import open_job
from sparehand.job.answering.answer_remaining import job_left
from sparehand.shop.earlier_jobs import other_procedures, shop_experience


def test_a_job_that_begins_knows_the_range_of_each_phase_and_how_long_all_of_it_takes() -> None:
    table = open_job()
    experience = shop_experience(table.state.opened)
    assert [phase.key for phase in experience.phases] == [planned.key for planned in table.state.plan.phases]
    assert "The job needs about" in job_left(table.state, table.clock.now(), experience)[0].shown


def test_a_procedure_whose_file_is_gone_is_left_out(tmp_path: Path) -> None:
    assert other_procedures(["front-end"], "another", tmp_path) == ()
