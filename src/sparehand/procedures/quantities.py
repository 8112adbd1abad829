"""Torques and other quantities: read as written, converted by pint, rounded inside a share of the tolerance."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, StringConstraints

if TYPE_CHECKING:
    from pint import Quantity, UnitRegistry

TorqueUnit = Literal["N·m", "lbf·ft", "lbf·in", "kgf·m"]

_SPELLINGS: dict[str, TorqueUnit] = {
    "n·m": "N·m",
    "nm": "N·m",
    "n m": "N·m",
    "n*m": "N·m",
    "lbf·ft": "lbf·ft",
    "lbf ft": "lbf·ft",
    "ft·lbf": "lbf·ft",
    "ft lbf": "lbf·ft",
    "lbf·in": "lbf·in",
    "lbf in": "lbf·in",
    "in·lbf": "lbf·in",
    "kgf·m": "kgf·m",
    "kgf m": "kgf·m",
}
_PINT_UNIT: dict[TorqueUnit, str] = {
    "N·m": "newton * meter",
    "lbf·ft": "force_pound * foot",
    "lbf·in": "force_pound * inch",
    "kgf·m": "kilogram_force * meter",
}
_WRITTEN = re.compile(r"^\s*(?P<value>\d+(?:\.\d+)?)\s*(?P<unit>\D+?)\s*$")


@cache
def units() -> UnitRegistry[Any]:
    """The one unit registry; pint is imported and the registry made at first use, for both take a while."""
    from pint import UnitRegistry

    return UnitRegistry(cache_folder=None)


class TorqueValue(BaseModel):
    """A torque as a person wrote it: the number and its unit, never silently converted."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    value: float = Field(gt=0, le=1_000_000)
    unit: TorqueUnit

    def quantity(self) -> Quantity[float]:
        """As a pint quantity."""
        return units().Quantity(self.value, _PINT_UNIT[self.unit])

    def to(self, unit: TorqueUnit) -> TorqueValue:
        """The same torque in another unit, unrounded. Factors: NIST SP 811:2008, Appendix B, as pint holds them."""
        if unit == self.unit:
            return self
        return TorqueValue(value=float(self.quantity().to(_PINT_UNIT[unit]).magnitude), unit=unit)

    @property
    def newton_metres(self) -> float:
        """The torque in N·m."""
        return self.to("N·m").value


def read_torque(written: str) -> TorqueValue:
    """A torque from words such as `110 N·m` or `81 lbf·ft`. Raises ValueError that says what was expected."""
    match = _WRITTEN.match(written)
    unit = _SPELLINGS.get(match["unit"].strip().lower()) if match else None
    if match is None or unit is None:
        raise ValueError(
            f"'{written}' is no torque; write a number and a unit, such as 110 N·m, 81 lbf·ft or 90 lbf·in"
        )
    return TorqueValue(value=float(match["value"]), unit=unit)


def _from_text(value: object) -> object:
    return read_torque(value) if isinstance(value, str) else value


_SpelledTorque = Annotated[
    str, StringConstraints(pattern=r"^\s*\d+(\.\d+)?\s*(N[·* ]?m|lbf[· ](ft|in)|(ft|in)[· ]lbf|kgf[· ]m)\s*$")
]
"""How a torque is written as text, for the JSON Schema; reading itself is looser about capital letters."""

Torque = Annotated[TorqueValue, BeforeValidator(_from_text, json_schema_input_type=_SpelledTorque | TorqueValue)]
"""A torque that a file may write as text."""

ROUNDING_SHARE = 0.1
"""The share of a fastener's tolerance that rounding may use up when a value is spoken in another unit."""
MOST_ROUNDING_PERCENT = 0.5
"""The most that rounding may change a computed value, such as a wrench setting."""
DEFAULT_TOLERANCE_PERCENT = 5.0
"""Tolerance taken for rounding where a file states none (common practice, no source)."""


def spoken_torque(torque: TorqueValue, unit: TorqueUnit, tolerance_percent: float | None) -> TorqueValue:
    """A torque of the file in `unit`: as written in its own unit, else computed and rounded."""
    return torque if unit == torque.unit else computed_torque(torque, unit, tolerance_percent)


def computed_torque(torque: TorqueValue, unit: TorqueUnit, tolerance_percent: float | None) -> TorqueValue:
    """The torque in `unit` with the fewest digits whose rounding error stays inside the share of the tolerance.

    It never exceeds `MOST_ROUNDING_PERCENT`, however wide the tolerance is.
    """
    exact = torque.to(unit).value
    share = (tolerance_percent or DEFAULT_TOLERANCE_PERCENT) * ROUNDING_SHARE
    allowed = exact * min(share, MOST_ROUNDING_PERCENT) / 100
    for digits in range(12):
        rounded = round(exact, digits)
        if rounded > 0 and abs(rounded - exact) <= allowed:
            return TorqueValue(value=rounded, unit=unit)
    return TorqueValue(value=exact, unit=unit)
