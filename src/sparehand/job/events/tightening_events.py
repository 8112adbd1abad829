"""Fasteners and their stages."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sparehand.job.events.words_events import Fact, TighteningMethod
from sparehand.procedures.plan import FastenerKey
from sparehand.procedures.quantities import TorqueValue
from sparehand.procedures.shop_wrenches import ShopWrench


class TighteningConfirmed(Fact):
    """`count` more of a fastener have reached stage `stage` (from 0), said by the technician."""

    kind: Literal["tightening confirmed"] = "tightening confirmed"
    fastener: FastenerKey
    stage: int = Field(ge=0)
    count: int = Field(ge=1)
    method: TighteningMethod
    achieved: TorqueValue | None = None
    wrench: ShopWrench | None = None
    extension_mm: float | None = None


class OutOfLimitsRead(Fact):
    """A tightening was read off an instrument outside its tolerance; the fastener stays open."""

    kind: Literal["out of limits read"] = "out of limits read"
    fastener: FastenerKey
    stage: int = Field(ge=0)
    achieved: TorqueValue


class TighteningRestarted(Fact):
    """All stages of a fastener start again from the first; a use-once one must be new again."""

    kind: Literal["tightening restarted"] = "tightening restarted"
    fastener: FastenerKey
