"""The customer's page of an estimate: prints on A4 and Letter, one page each, and says whose money it is."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from screens.browser import print_page
from sparehand.screens.estimate_page import estimate_page, money
from visit.test_estimate import rates, sheet

A4, LETTER = (595.3, 841.9), (612.0, 792.0)
"""Points: ISO 216 (210 × 297 mm) and ANSI/ASME Y14.1 size A (8.5 × 11 in), at 72 to the inch."""


@pytest.mark.parametrize(("paper", "size"), [("A4", A4), ("Letter", LETTER)])
def test_it_prints_on_one_page(paper: str, size: tuple[float, float], tmp_path: Path) -> None:
    printed = print_page(estimate_page(sheet(rates(tmp_path))), paper, tmp_path)
    assert (printed.width, printed.height) == pytest.approx(size, abs=1)
    assert printed.pages == 1


def test_it_says_who_pays_how_sure_it_is_and_that_the_maker_prevails(tmp_path: Path) -> None:
    page = " ".join(estimate_page(sheet(rates(tmp_path))).split())
    for words in (
        "of which warranty",
        "29.20",
        "rust: up to 0.6 h more",
        "How sure this is",
        "maker's data",
        "licence",
    ):
        assert words in page


@pytest.mark.parametrize(
    ("amount", "currency", "shown"),
    [("12.5", "EUR", "12.50\u00a0EUR"), ("1234", "JPY", "1\u202f234\u00a0JPY"), ("0.125", "EUR", "0.125\u00a0EUR")],
)
def test_an_amount_has_the_decimals_of_its_currency(amount: str, currency: str, shown: str) -> None:
    """ISO 4217 gives the euro two decimals and the yen none."""
    assert money(Decimal(amount), currency) == shown
