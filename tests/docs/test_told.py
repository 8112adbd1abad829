"""The story of a job in the manual is what happens, word by word."""

from __future__ import annotations

from pathlib import Path

from docs.told import StoryJob, told
from sparehand.job.state import fold

STORY = Path(__file__).parents[2] / "docs" / "both-corners.md"


def test_each_line_of_the_story_gets_the_answer_that_it_tells() -> None:
    job = StoryJob()
    lines = list(told(STORY))
    assert len(lines) > 15
    assert [(said, job.says(said)) for said, _ in lines] == lines
    assert fold(job.table.history) == job.table.state
