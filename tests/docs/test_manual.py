"""The manual cannot fall behind the program: its generated pages are those the tables give."""

from __future__ import annotations

import re
import runpy
from collections.abc import Iterator
from pathlib import Path
from typing import Any, get_args

import pytest
import typer

from screens.browser import print_page
from sparehand.cli.app import app
from sparehand.job.situation import SITUATIONS
from sparehand.procedures.findings import FindingName
from sparehand.settings import Settings, write_default
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.phrases.phrase_table import SpokenNames

TOP = Path(__file__).parents[2]
DOCS = TOP / "docs"
CHECKS = DOCS / "checks"
CHAPTERS = "\n".join(page.read_text(encoding="utf-8") for page in [TOP / "DEVELOPERS.md", *sorted(DOCS.glob("*.md"))])
"""What was written by hand, without the reference."""


def commands(name: str = "", command: Any = None) -> Iterator[tuple[str, Any]]:
    """Every command by its words, groups without their own."""
    command = command or typer.main.get_command(app)
    inner = getattr(command, "commands", {})
    if not inner:
        yield name.strip(), command
    for child, one in inner.items():
        yield from commands(f"{name} {child}", one)


@pytest.mark.parametrize("name", ["commands.md", "phrases.md", "settings.md", "phrase-card.html"])
def test_a_generated_page_is_what_the_tables_give(name: str) -> None:
    page = runpy.run_path(str(DOCS / "generate.py"))["PAGES"][name]
    written = (DOCS / "reference" / name).read_text(encoding="utf-8")
    assert written == page(), "stale: run `python docs/generate.py`"


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_the_phrase_card_prints_on_one_page_and_holds_no_placeholder(paper: str, tmp_path: Path) -> None:
    card = (DOCS / "reference" / "phrase-card.html").read_text(encoding="utf-8")
    assert "{" not in card.partition("<body>")[2]
    assert print_page(card, paper, tmp_path).pages == 1


def test_every_finding_of_the_check_has_its_page() -> None:
    assert {page.stem for page in CHECKS.glob("*.md")} - {"README"} == set(get_args(FindingName))


def test_every_setting_is_explained_in_the_file_itself(tmp_path: Path) -> None:
    written = write_default(tmp_path).read_text(encoding="utf-8")
    for key in Settings.model_fields:
        before = written[: written.index(f"\n{key} = ")].splitlines()
        assert before[-1].startswith("# ")


def test_every_page_about_a_check_is_listed() -> None:
    listed = (CHECKS / "README.md").read_text(encoding="utf-8")
    assert [page.name for page in CHECKS.glob("*.md") if page.name != "README.md" and page.name not in listed] == []


@pytest.mark.parametrize("name", [name for name, _ in commands()])
def test_every_command_is_told_of_in_a_chapter(name: str) -> None:
    assert re.search(rf"(sparehand |`){name}\b", CHAPTERS), f"no chapter of the manual tells of `sparehand {name}`"


def test_every_argument_and_option_says_what_it_is_for() -> None:
    silent = [f"{name} {given.name}" for name, command in commands() for given in command.params if not given.help]
    assert silent == []


def test_every_phrase_says_what_it_does() -> None:
    assert [pattern.phrase for pattern in load_phrases().patterns if not pattern.does.strip()] == []


def test_every_environment_variable_is_told_of() -> None:
    code = "\n".join(
        path.read_text(encoding="utf-8") for room in ("src", "tests") for path in (TOP / room).rglob("*.py")
    )
    assert {name for name in re.findall(r"\bSPAREHAND_[A-Z_]+\b", code) if name not in CHAPTERS} == set()


def test_every_phrase_that_the_chapter_names_is_understood() -> None:
    table = load_phrases(SpokenNames({}, {}, conditions={"at ride height": "ride-height"}))
    rows = [line for line in (DOCS / "phrases.md").read_text(encoding="utf-8").splitlines() if line.startswith("| ")]
    named = [phrase for row in rows for phrase in re.findall(r'"([^"]+)"', row) if "…" not in phrase]
    assert len(named) > 40
    assert [phrase for phrase in named if table.command_for(phrase, SITUATIONS) is None] == []
