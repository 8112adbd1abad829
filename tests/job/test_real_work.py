"""Work as it really goes: what the file tells beside the step."""

from __future__ import annotations

from pathlib import Path

import pytest

from job.table import Table, open_job
from sparehand.conversation.active_phrases import situations
from sparehand.job import commands as c
from sparehand.procedures.check import check_file
from sparehand.procedures.load import load_procedure

FILE = Path(__file__).with_name("arm_job.yaml")
ARM = load_procedure(FILE).procedure


def at_the_arm(*operations: str) -> Table:
    return open_job(ARM, operations, sides=("left", "right"))


def test_the_file_of_these_tests_is_sound() -> None:
    assert check_file(FILE) == ()


@pytest.mark.parametrize(
    ("what", "said"),
    [
        ("why", "The guard hides the bush."),
        ("where", "The guard sits behind the wheel, low on the arm."),
        ("compare", "The gap of the guard is the same on both sides."),
    ],
)
def test_a_step_says_why_and_where_and_what_to_compare(what: str, said: str) -> None:
    table = at_the_arm()
    assert "explained" in situations(table.state)
    assert table.do(c.Explain(what)).spoken == said  # type: ignore[arg-type]


def test_a_step_that_says_none_of_it_tells_so_and_is_not_asked_by_voice() -> None:
    table = at_the_arm()
    table.do(c.Next())
    assert table.do(c.Explain("why")).spoken == "The file does not say why this is done."
    assert "explained" not in situations(table.state)
