"""The manual as a site: it builds without a warning, can be searched, and loads nothing from elsewhere."""

from __future__ import annotations

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

import needs

TOP = Path(__file__).parents[2]
SETTINGS = TOP / "docs" / "web" / "mkdocs.yml"


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The site, built as the manual says."""
    try:
        import mkdocs  # noqa: F401
    except ImportError:
        needs.skip_unless(False, "mkdocs is not installed (the docs extra)")
    folder = tmp_path_factory.mktemp("site")
    command = [sys.executable, "-m", "mkdocs", "build", "--strict", "-f", str(SETTINGS), "-d", str(folder)]
    built = subprocess.run(command, capture_output=True, text=True, check=False)
    assert built.returncode == 0, built.stderr
    return folder


def test_every_chapter_is_a_page_and_can_be_searched(site: Path) -> None:
    found = json.loads((site / "search" / "search_index.json").read_text(encoding="utf-8"))["docs"]
    pages = {entry["location"].split("#")[0] for entry in found}
    assert {page.with_suffix(".html").name for page in (TOP / "docs").glob("*.md")} <= pages


def test_it_loads_nothing_from_elsewhere(site: Path) -> None:
    loads = re.compile(r"""<(?:script|link|img|iframe)\b[^>]*\b(?:src|href)=["'](?:https?:)?//""")
    assert [page.name for page in site.rglob("*.html") if loads.search(page.read_text(encoding="utf-8"))] == []


def test_a_block_that_is_not_run_shows_why(site: Path) -> None:
    page = (site / "sharing.html").read_text(encoding="utf-8")
    assert 'needs="a PostgreSQL server"' in page
    assert "web/manual.css" in page


def test_every_chapter_is_in_the_navigation() -> None:
    told = SETTINGS.read_text(encoding="utf-8")
    assert [page.name for page in (TOP / "docs").glob("*.md") if f" {page.name}" not in told] == []
