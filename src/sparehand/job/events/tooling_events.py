"""The torque wrench in hand, an extension on it, and a second person's look."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sparehand.ground.bounds import Measured
from sparehand.job.events.words_events import Fact
from sparehand.procedures.plan import FastenerKey, StepKey
from sparehand.procedures.shop_wrenches import ShopWrench


class WrenchChosen(Fact):
    """Tightenings are made with this wrench from now on; it is kept as the shop's list described it then."""

    kind: Literal["wrench chosen"] = "wrench chosen"
    wrench: ShopWrench


class ExtensionChanged(Fact):
    """An extension of that length is in line on the wrench, or none any more."""

    kind: Literal["extension changed"] = "extension changed"
    extension_mm: float | None = Field(default=None, gt=0, le=100_000)


class TighteningChecked(Fact):
    """A second person has checked a fastener that is at its final tightening."""

    kind: Literal["tightening checked"] = "tightening checked"
    fastener: FastenerKey
    by: str


class ToolsCounted(Fact):
    """These tools of the procedure, by their ids, were counted and are back."""

    kind: Literal["tools counted"] = "tools counted"
    tools: tuple[str, ...] = ()


class PressSizeFitted(Fact):
    """An adapter of this size fitted at a step; the lesson beside it tells whoever does the step next."""

    kind: Literal["press size fitted"] = "press size fitted"
    at: StepKey
    size_mm: Measured


ToolingEvent = PressSizeFitted | ToolsCounted | WrenchChosen | ExtensionChanged | TighteningChecked
