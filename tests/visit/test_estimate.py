"""The estimate sheet against cases computed by hand, to the tenth of an hour and to the smallest coin."""

from __future__ import annotations

from datetime import UTC, datetime
from decimal import Decimal
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given, strategies as st

import needs
from sparehand.ground.errors import InputError
from sparehand.job.events import Payer
from sparehand.visit.currencies import CURRENCIES, decimals_of
from sparehand.visit.estimate import EstimateSheet, Order, Outlook, PartNeed, Work, estimate_sheet
from sparehand.visit.rates import Rates, load_rates
from sparehand.visit.tenths import added_tenths

NOON = datetime(2026, 11, 3, 12, 0, tzinfo=UTC)
RATES = """
format = 1
currency = "{currency}"
tax_percent = {tax}
[labour]
customer = {customer}
warranty = 61.35
[parts]
"demo.joint" = 12.345
bolt = 0.115
"""


def rates(tmp_path: Path, currency: str = "EUR", customer: str = "87.30", tax: str = "19") -> Rates:
    path = tmp_path / "rates.toml"
    path.write_text(RATES.format(currency=currency, customer=customer, tax=tax), encoding="utf-8")
    return load_rates(path)


def sheet(rates: Rates) -> EstimateSheet:
    work = [
        Work("demo", "joint", "Renew the joint", Decimal("1.7")),
        Work("demo", "link", "Renew the link", Decimal("0.4"), "warranty", Decimal("0.5")),
    ]
    parts = [PartNeed("demo", "joint", "joint", 2), PartNeed("demo", "bolt", "bolts", 3, "CV-11")]
    outlook = Outlook(0.28, 5, may_add=(("rust", Decimal("0.6")),))
    return estimate_sheet(
        "e-1", NOON, Order(work, parts, outlook, lines=[("road test", Decimal("0.3"), "customer")]), rates
    )


def test_a_sheet_computed_by_hand_matches_to_the_cent(tmp_path: Path) -> None:
    # 1.7 × 87.30 = 148.41; 0.4 × 61.35 = 24.54; 0.3 × 87.30 = 26.19; sum 199.14
    # 2 × 12.345 = 24.69; 3 × 0.115 = 0.345, halves up 0.35; sum 25.04
    # 19 % of 224.18 = 42.5942, so 42.59; total 266.77; rust 0.6 × 87.30 = 52.38
    made = sheet(rates(tmp_path))
    assert [str(row.price) for row in made.labour] == ["148.41", "24.54", "26.19"]
    assert [str(row.price) for row in made.parts] == ["24.69", "0.35"]
    assert (str(made.labour_hours), str(made.labour_price), str(made.parts_price)) == ("2.4", "199.14", "25.04")
    assert (str(made.tax), str(made.total)) == ("42.59", "266.77")
    assert [str(one.price) for one in made.may_change] == ["52.38"]


def test_what_each_payer_pays_adds_up_to_the_total(tmp_path: Path) -> None:
    # Customer: 148.41 + 26.19 labour, 24.69 + 0.35 parts, 19 % of 199.64 = 37.9316, so 37.93; in all 237.57.
    # Warranty: 24.54 labour, 19 % of it 4.6626, so 4.66; in all 29.20. Together 266.77.
    customer, warranty = sheet(rates(tmp_path)).shares
    assert (customer.payer, str(customer.tax), str(customer.total)) == ("customer", "37.93", "237.57")
    assert (warranty.payer, str(warranty.tax), str(warranty.total)) == ("warranty", "4.66", "29.20")


@given(
    st.lists(
        st.tuples(st.integers(0, 99), st.sampled_from(["customer", "warranty", "goodwill"])), min_size=1, max_size=9
    )
)
def test_the_shares_always_add_up(work: list[tuple[int, Payer]]) -> None:
    known = Rates(
        format=1, currency="EUR", tax_percent=Decimal("7.7"), labour=dict.fromkeys(get_args(Payer), Decimal("33.33"))
    )
    order = Order(
        [Work("d", f"o{n}", "W", Decimal(tenths) / 10, payer) for n, (tenths, payer) in enumerate(work)],
        [],
        Outlook(0.1, 0),
    )
    made = estimate_sheet("e", NOON, order, known)
    assert sum(share.total for share in made.shares) == made.total
    assert len({share.payer for share in made.shares}) == len(made.shares)


def test_a_currency_without_decimals_has_none_and_one_with_three_has_three(tmp_path: Path) -> None:
    # 1.7 × 8730 = 14841; 0.4 × 61.35 = 24.54, so 25
    yen = sheet(rates(tmp_path, "JPY", "8730", "10"))
    assert [str(row.price) for row in yen.labour][:2] == ["14841", "25"]
    # 0.3 × 8.7301 = 2.61903, so 2.619
    dinar = sheet(rates(tmp_path, "KWD", "8.7301", "0"))
    assert str(dinar.labour[2].price) == "2.619"
    assert {decimals_of(code) for code in CURRENCIES} == {0, 2, 3}


def test_a_price_that_no_binary_fraction_can_hold_stays_exact(tmp_path: Path) -> None:
    assert rates(tmp_path, customer="0.1").labour["customer"] * 3 == Decimal("0.3")


@given(st.lists(st.integers(0, 400), min_size=1, max_size=8))
def test_what_each_operation_adds_makes_up_the_largest_total(totals: list[int]) -> None:
    added = added_tenths([total / 10 for total in totals])
    assert sum(added) == Decimal(max(totals)) / 10
    assert min(added) >= 0


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('currency = "EURO"', "rates.toml:3: currency: 'EURO' is no currency code of ISO 4217"),
        ("customer = -4", "rates.toml:6: labour.customer: must be 0 or more"),
        ("customer = nan", "rates.toml:6: labour.customer"),
        ("customer = 1e99", "rates.toml:6: labour.customer"),
        ("customer = 1e99999999999999999999", "rates.toml:6: labour.customer"),
        ('"a\\nb" = 1', "rates.toml"),
        (f"colour = {'[' * 20_000}", "nested too deep; that is no rates file"),
        ("uncle = 4", "rates.toml:6: labour.uncle"),
        ("colour = 1", "rates.toml:3: colour: is not known here"),
        ("currency = EUR", "rates.toml"),
    ],
)
def test_a_wrong_rates_file_is_one_line_with_file_line_and_key(text: str, says: str, tmp_path: Path) -> None:
    path = tmp_path / "rates.toml"
    lines = ["", "format = 1", 'currency = "EUR"', "", "[labour]", "customer = 87.30"]
    lines[5 if "=" in text and text.split()[0] in ("customer", "uncle") else 2] = text
    if "currency" not in text and text.startswith("colour"):
        lines.insert(3, 'currency = "EUR"')
    path.write_text("\n".join(lines), encoding="utf-8")
    with pytest.raises(InputError) as refused:
        load_rates(path)
    assert says in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_file_without_end_is_no_rates_file() -> None:
    endless = Path("/dev/zero")
    needs.skip_unless(endless.exists(), "no /dev/zero")
    with pytest.raises(InputError, match="larger than 1000000 bytes; that is no rates file"):
        load_rates(endless)


def test_a_part_or_a_payer_without_a_price_is_named(tmp_path: Path) -> None:
    known = rates(tmp_path)
    unpriced = Order([], [PartNeed("demo", "seal", "seal", 1)], Outlook(0.1, 0))
    with pytest.raises(InputError, match=r'no price for seal of demo; add `"demo.seal" = PRICE` under \[parts\]'):
        estimate_sheet("e", NOON, unpriced, known)
    for_free = Order([Work("demo", "link", "Link", Decimal(1), "training")], [], Outlook(0.1, 0))
    with pytest.raises(InputError, match="no labour rate for 'training'"):
        estimate_sheet("e", NOON, for_free, known)
