"""What a shop charges: an hour by who pays, an allowance, tax, and parts. Exact decimals, never binary fractions."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, field_validator

from sparehand.ground.errors import InputError
from sparehand.ground.toml_file import read_toml, strict
from sparehand.job.events import Payer
from sparehand.visit.currencies import CURRENCIES, decimals_of

Price = Annotated[
    Decimal, BeforeValidator(strict), Field(ge=0, max_digits=12, decimal_places=4, allow_inf_nan=False, strict=False)
]
Percent = Annotated[Decimal, BeforeValidator(strict), Field(ge=0, le=100, decimal_places=3, allow_inf_nan=False)]


class Rates(BaseModel):
    """The rates file. `labour` is the price of an hour by payer; `parts` by "PROCEDURE.PART", part or part number."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    format: Literal[1]
    shop: str = Field(default="", max_length=200)
    currency: str
    labour: dict[Payer, Price]
    allowance_percent: Percent = Decimal(0)
    tax_percent: Percent | None = None
    tax_name: str = Field(default="tax", max_length=40)
    parts: dict[str, Price] = Field(default_factory=dict)

    @field_validator("currency")
    @classmethod
    def _known_currency(cls, code: str) -> str:
        if code not in CURRENCIES:
            raise ValueError(f"'{code}' is no currency code of ISO 4217; write one such as EUR or JPY")
        return code

    def rounded(self, amount: Decimal) -> Decimal:
        """An amount in whole smallest coins, halves up."""
        return amount.quantize(Decimal(1).scaleb(-decimals_of(self.currency)), ROUND_HALF_UP)

    def hour(self, payer: Payer) -> Decimal:
        """The price of an hour. Raises InputError for a payer without one."""
        if payer not in self.labour:
            raise InputError(f"the rates file has no labour rate for '{payer}'; add `{payer} = PRICE` under [labour]")
        return self.labour[payer]

    def part(self, procedure: str, part: str, number: str | None) -> Decimal | None:
        """The price of one part, or None where the file has none."""
        names = (f"{procedure}.{part}", part, *([number] if number else []))
        return next((self.parts[name] for name in names if name in self.parts), None)


def load_rates(path: Path) -> Rates:
    """The rates of a file. Raises InputError with file, line and key for what is wrong in it."""
    return read_toml(path, Rates, "rates file")
