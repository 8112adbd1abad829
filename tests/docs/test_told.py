"""The stories of jobs in the manual are what happens, word by word."""

from __future__ import annotations

from pathlib import Path

import pytest

from docs.told import StoryJob, told
from job.table import Table, demo_procedure, open_job
from job.test_second_plan import at_the_axle
from sparehand.job import commands as c
from sparehand.job.state import fold

DOCS = Path(__file__).parents[2] / "docs"


def at_the_arm() -> Table:
    """The bush on both sides."""
    return open_job(demo_procedure("arm-job"), ("bush",), ("left", "right"))


def before_the_boot() -> Table:
    """The arm on the left, with the wheel off."""
    table = at_the_axle()
    table.do(c.Understood(), c.Next(), c.Next())
    return table


STORIES = {"both-corners": (at_the_arm(), 15), "procedures": (before_the_boot(), 6)}


@pytest.mark.parametrize("page", STORIES)
def test_each_line_of_a_story_gets_the_answer_that_it_tells(page: str) -> None:
    table, least = STORIES[page]
    job = StoryJob(table)
    lines = list(told(DOCS / f"{page}.md"))
    assert len(lines) > least
    assert [(said, job.says(said)) for said, _ in lines] == lines
    assert fold(job.table.history) == job.table.state
