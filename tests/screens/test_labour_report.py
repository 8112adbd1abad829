"""The labour report stands alone, can be read without its plots, and escapes what people typed."""

from __future__ import annotations

import re
from html.parser import HTMLParser

import pytest

from labour.examples import job, link_jobs, make_quote, procedure
from sparehand.labour.forecasting.quote_records import QuoteRequest
from sparehand.screens.labour_report import labour_report

LINK = QuoteRequest(procedure="front-end", operations=("renew-link",), sides=("left",))
VOID = {"meta", "br", "hr", "img", "link", "input"}


class Outline(HTMLParser):
    """Collects tags, and fails on any that is closed out of turn."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag


def outline(page: str) -> Outline:
    parsed = Outline()
    parsed.feed(page)
    assert parsed.open == []
    return parsed


@pytest.fixture(scope="module")
def page() -> str:
    jobs = [each.model_copy(update={"corrosion": ("none", "heavy")[n % 2]}) for n, each in enumerate(link_jobs(10))]
    jobs.append(job(30, {"access": 25, "link/left": 60, "refit": 25}, snags={"link/left": 25}, held_access=40.0))
    return labour_report(make_quote(LINK, procedure(), jobs), jobs, procedure(), people=True)


def test_it_needs_no_network(page: str) -> None:
    fetched = [
        value
        for _, attributes in outline(page).tags
        for name, value in attributes.items()
        if name in ("src", "href") and value and not value.startswith("#")
    ]
    assert fetched == []
    assert "@import" not in page
    assert "<script" not in page


def test_every_plot_has_words_and_a_table_with_headers_after_it(page: str) -> None:
    parsed = outline(page)
    drawings = [attributes for tag, attributes in parsed.tags if tag == "svg"]
    assert len(drawings) == 5
    assert all(drawing["role"] == "img" and drawing["aria-label"] for drawing in drawings)
    for after in page.split("</svg>")[1:]:
        table = after[after.index("<table") : after.index("</table>")]
        assert "<caption>" in table
        assert 'scope="col"' in table


def test_it_has_landmarks_one_title_and_a_language(page: str) -> None:
    tags = [tag for tag, _ in outline(page).tags]
    assert [tags.count(name) for name in ("html", "header", "main", "footer", "h1")] == [1, 1, 1, 1, 1]
    assert '<html lang="en">' in page
    assert "@media print" in page


def test_identifiers_are_unique(page: str) -> None:
    names = [attributes["id"] for _, attributes in outline(page).tags if attributes.get("id")]
    assert len(names) == len(set(names))


def test_it_says_the_figure_its_risk_and_that_the_maker_prevails(page: str) -> None:
    assert re.search(r"\d\.\d h <small>runs over in \d+ of 100", page)
    assert "licensed practice prevail" in page
    assert "Demo data" in page


def test_it_shows_snags_holds_effects_people_and_past_forecasts(page: str) -> None:
    for words in ("What may go wrong", "holds are waiting", "heavy corrosion", "ana", "How past forecasts did"):
        assert words in page


def test_people_are_shown_only_where_a_shop_turns_it_on() -> None:
    jobs = link_jobs(12)
    assert ">ana<" not in labour_report(make_quote(LINK, procedure(), jobs), jobs, procedure())


def test_it_says_which_jobs_do_not_count_and_leaves_them_out_of_its_figures() -> None:
    jobs = link_jobs(8)
    cut = job(40, {"access": 20, "link/left": 5}, unfinished=("link/left",))
    spoilt = job(41, {"access": 0.05, "link/left": 900, "refit": 0.05}).model_copy(update={"left_out": "practice only"})
    page = labour_report(make_quote(LINK, procedure(), [*jobs, cut, spoilt]), [*jobs, cut, spoilt], procedure())
    assert "Job job-41 of 2024-04-11 does not count: practice only." in page
    assert "1 of the jobs have phases that were not finished" in page
    assert "<td>30</td><td>30</td>" in page, "the logged minutes of the link are those of the other jobs"


@pytest.mark.parametrize("count", [0, 1])
def test_it_can_be_made_with_hardly_any_jobs(count: int) -> None:
    jobs = link_jobs(count)
    assert "<svg" in labour_report(make_quote(LINK, procedure(), jobs), jobs, procedure())


def test_a_procedure_without_a_file_can_be_reported() -> None:
    jobs = link_jobs(3)
    asked = QuoteRequest(procedure="front-end")
    assert "front-end" in labour_report(make_quote(asked, None, jobs), jobs, None)


def test_what_people_typed_is_escaped() -> None:
    jobs = link_jobs(2)
    asked = LINK.model_copy(update={"technician": "<b>ana & co</b>"})
    page = labour_report(make_quote(asked, procedure(), jobs), jobs, procedure())
    assert "<b>ana" not in page
    assert "&lt;b&gt;ana &amp; co" in page
