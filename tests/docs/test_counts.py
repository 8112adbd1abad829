"""No text says "1 jobs": wherever a number stands before its things, it goes through what makes them agree."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest

from screens.bay import PROCEDURE
from sparehand.ground.plurals import are, how_many
from sparehand.job.answer import counted as counted_line
from sparehand.procedures.labels import counted, in_words
from sparehand.procedures.wording import counted as counted_words, duration_spoken

TOP = Path(__file__).parents[2] / "src"
THINGS = ("jobs", "phases", "fasteners", "recordings", "values", "lessons", "events", "files", "days", "records",
    "rows", "procedures", "times", "steps", "entries", "technicians", "minutes", "hours", "seconds", "pieces",
    "columns", "promises", "words", "bolts", "parts", "benches", "operations", "sides", "questions")  # fmt: skip
_FIXED = re.compile(r"[A-Z_]+")
"""A bound that no count changes: a constant of the program, above one."""


def counts_in_text(source: str) -> Iterator[tuple[int, str]]:
    """Line and words of each f-string in which a value stands right before the plural of a thing."""
    for node in ast.walk(ast.parse(source)):
        if not isinstance(node, ast.JoinedStr):
            continue
        for value, after in pairwise(node.values):
            if not isinstance(value, ast.FormattedValue) or not isinstance(after, ast.Constant):
                continue
            thing = re.match(r" ([a-z]+)\b", str(after.value))
            if thing and thing[1] in THINGS and not _FIXED.fullmatch(ast.unparse(value.value)):
                yield node.lineno, f"{ast.unparse(value.value)}{thing[0]}"


def test_no_text_counts_by_itself() -> None:
    found = [
        f"{path.relative_to(TOP)}:{line}: {words}"
        for path in sorted(TOP.rglob("*.py"))
        for line, words in counts_in_text(path.read_text(encoding="utf-8"))
    ]
    assert found == []


def test_no_page_counts_by_itself() -> None:
    things = "|".join(THINGS)
    for path in sorted(TOP.rglob("*.j2")):
        assert re.findall(rf"\}}\}} (?:{things})\b", path.read_text(encoding="utf-8")) == [], path.name


@pytest.mark.parametrize(
    ("count", "jobs", "entries", "spoken"),
    [(0, "0 jobs", "0 entries", "zero joint bolts"), (1, "1 job", "1 entry", "one joint bolt"),
     (2, "2 jobs", "2 entries", "two joint bolts")],
)  # fmt: skip
def test_a_count_and_its_things_agree(count: int, jobs: str, entries: str, spoken: str) -> None:
    bolts = PROCEDURE.fastener("joint-bolts")
    assert how_many(count, "job") == jobs
    assert how_many(count, "entry", "entries") == entries
    assert are(count) == ("is" if count == 1 else "are")
    assert counted_words(count, "joint bolt", "joint bolts") == counted_line(count, "joint bolt").spoken == spoken
    assert in_words(bolts, count) == spoken
    assert counted(bolts, count) == counted_line(count, "joint bolt").shown
    assert duration_spoken(count) == counted_words(count, "second")
