"""The estimate as a page for the customer: one HTML file that stands alone and prints on A4 and Letter."""

from __future__ import annotations

from decimal import Decimal

from sparehand.screens.pages import page_template
from sparehand.visit.currencies import decimals_of
from sparehand.visit.estimate import EstimateSheet


def estimate_page(sheet: EstimateSheet, *, at_desk: bool = False) -> str:
    """The page as HTML; `at_desk` it has a way back to the desk's pages, which is not printed."""
    return page_template("estimate.html.j2").render(
        sheet=sheet,
        at_desk=at_desk,
        given=f"{sheet.given_at:%Y-%m-%d}",
        booked=any(row.book_hours is not None for row in sheet.labour),
        over=round(100 * sheet.chance_over),
        money=lambda amount: money(amount, sheet.currency),
        highest=_highest(sheet),
    )


def money(amount: Decimal, currency: str) -> str:
    """An amount with its currency, thousands apart: "1 234.50 EUR" with thin spaces; no fewer decimals than it has."""
    decimals = max(decimals_of(currency), len(f"{amount:f}".partition(".")[2]))
    return f"{amount:,.{decimals}f}".replace(",", "\u202f") + f"\u00a0{currency}"


def _highest(sheet: EstimateSheet) -> Decimal:
    """The total if everything named came about."""
    labour = sum((one.price for one in sheet.may_change), Decimal(0))
    taxed = labour * (sheet.tax_percent or Decimal(0)) / 100
    return (sheet.total + labour + taxed).quantize(sheet.total)
