"""The manual cannot fall behind the program: its generated pages are those the tables give."""

from __future__ import annotations

import runpy
from pathlib import Path
from typing import get_args

import pytest

from sparehand.procedures.findings import FindingName
from sparehand.settings import Settings, write_default

DOCS = Path(__file__).parents[2] / "docs"
CHECKS = DOCS / "checks"


@pytest.mark.parametrize("name", ["commands.md", "phrases.md"])
def test_a_generated_page_is_what_the_tables_give(name: str) -> None:
    page = runpy.run_path(str(DOCS / "generate.py"))["PAGES"][name]
    written = (DOCS / "reference" / name).read_text(encoding="utf-8")
    assert written == page(), "stale: run `python docs/generate.py`"


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
