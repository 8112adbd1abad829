"""Fasteners and their stages."""

from __future__ import annotations

from typing import Literal

from pydantic import Field

from sparehand.ground.bounds import Count, Measured
from sparehand.job.events.words_events import Fact, TighteningMethod
from sparehand.procedures.plan import FastenerKey, StepKey
from sparehand.procedures.quantities import TorqueValue
from sparehand.procedures.shop_wrenches import ShopWrench


class TighteningConfirmed(Fact):
    """`count` more of a fastener have reached stage `stage` (from 0), said by the technician.

    `counted` says that the number was said, and not "done" for all that remained; None where nobody kept that.
    """

    kind: Literal["tightening confirmed"] = "tightening confirmed"
    fastener: FastenerKey
    stage: Count
    count: int = Field(ge=1, le=1_000)
    method: TighteningMethod
    achieved: TorqueValue | None = None
    wrench: ShopWrench | None = None
    extension_mm: Measured | None = None
    counted: bool | None = None


class OutOfLimitsRead(Fact):
    """A tightening was read off an instrument outside its tolerance; the fastener stays open."""

    kind: Literal["out of limits read"] = "out of limits read"
    fastener: FastenerKey
    stage: Count
    achieved: TorqueValue


class TighteningRestarted(Fact):
    """All stages of a fastener start again from the first; a use-once one must be new again."""

    kind: Literal["tightening restarted"] = "tightening restarted"
    fastener: FastenerKey


class PiecesCounted(Fact):
    """`count` more pieces of a fastener came out, or went in, at a step that is not done yet."""

    kind: Literal["pieces counted"] = "pieces counted"
    step: StepKey
    fastener: FastenerKey
    count: int = Field(ge=1, le=99)


class AngleAnswered(Fact):
    """Whether an angle had been begun when the work was held; one that had not been is no unknown angle."""

    kind: Literal["angle answered"] = "angle answered"
    fastener: FastenerKey
    begun: bool


TighteningEvent = TighteningConfirmed | OutOfLimitsRead | TighteningRestarted | PiecesCounted | AngleAnswered
