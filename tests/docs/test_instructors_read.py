"""The instructor's read tells of every step that a demonstration has, in its order, and of no other."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from sparehand.ground.places import bundled
from sparehand.procedures.load import load_procedure

PAGE = Path(__file__).parents[2] / "docs" / "instructors-read.md"


@pytest.mark.parametrize("path", sorted(bundled("procedures").glob("*.yaml")), ids=lambda path: path.stem)
def test_the_read_of_a_demonstration_has_its_steps_in_their_order(path: Path) -> None:
    procedure = load_procedure(path).procedure
    text = PAGE.read_text(encoding="utf-8").split(f"## {procedure.title}\n")[1].split("\n## ")[0]
    told = re.findall(r"^\| `([a-z-]+)` \|", text, re.MULTILINE)
    assert told == [step.id for phase in procedure.phases for step in phase.steps]
