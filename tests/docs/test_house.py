"""The guide for contributors names the rooms that there are, on the floors that the import contracts hold."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

TOP = Path(__file__).parents[2]
GUIDE = (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")


def _rooms() -> set[str]:
    package = TOP / "src" / "sparehand"
    folders = {path.parent.name for path in package.glob("*/__init__.py")}
    return folders | {path.stem for path in package.glob("*.py")} - {"__init__", "__main__"}


def test_the_guide_says_what_lives_in_every_room_and_in_no_other() -> None:
    assert {name.removesuffix(".py") for name in re.findall(r"^\| `([a-z_.]+)/?` \|", GUIDE, re.M)} == _rooms()


def test_the_picture_shows_the_floors_of_the_import_contract() -> None:
    contracts = tomllib.loads((TOP / "pyproject.toml").read_text(encoding="utf-8"))["tool"]["importlinter"]["contracts"]
    floors = [set(floor.split(" | ")) for floor in contracts[0]["layers"] if floor != "__main__"]
    picture = GUIDE.split("## The house")[1].split("```")[1]
    drawn = [
        set(re.findall(r"[a-z_]+", re.sub(r":[^\n]*", "", floor)))
        for floor in re.split(r"^ *\d+  ", picture, flags=re.M)[1:]
    ]
    assert drawn == floors
