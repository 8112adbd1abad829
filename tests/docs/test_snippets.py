"""What the manual tells a reader to type works: every block of every page is run, page by page."""

from __future__ import annotations

from pathlib import Path

import pytest

from docs.snippets import SHOWN_ONLY, Snippet, run, snippets

TOP = Path(__file__).parents[2]
PAGES = sorted(
    page
    for page in [TOP / "README.md", TOP / "DEVELOPERS.md", *(TOP / "docs").rglob("*.md")]
    if any(snippet.language not in SHOWN_ONLY for snippet in snippets(page))
)
RUN = frozenset({"sh", "python"})


def every_snippet() -> list[Snippet]:
    return [snippet for page in PAGES for snippet in snippets(page) if snippet.language not in SHOWN_ONLY]


@pytest.mark.parametrize("page", PAGES, ids=lambda page: str(page.relative_to(TOP)))
def test_every_block_of_a_page_works_in_order(page: Path, tmp_path: Path) -> None:
    for snippet in snippets(page):
        if snippet.language not in SHOWN_ONLY and snippet.needs is None:
            run(snippet, tmp_path)


@pytest.mark.parametrize("snippet", every_snippet(), ids=lambda each: f"{each.page.name}:{each.line}")
def test_a_block_is_run_or_is_a_file_or_says_what_it_needs(snippet: Snippet) -> None:
    assert snippet.needs or snippet.file or snippet.language in RUN, "neither run nor told why not"
    assert snippet.needs is None or len(snippet.needs.split()) > 1, "say in words what it needs"


def test_a_block_that_fails_fails_the_page(tmp_path: Path) -> None:
    page = tmp_path / "page.md"
    page.write_text("```sh\nsparehand no-such-command\n```\n", encoding="utf-8")
    (snippet,) = snippets(page)
    with pytest.raises(AssertionError, match=r"page\.md:1 ends with 2"):
        run(snippet, tmp_path)
