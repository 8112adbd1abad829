"""The torque wrenches of a shop: what each is called, its range, and until when it is calibrated."""

from __future__ import annotations

from datetime import date

from pydantic import Field

from sparehand.procedures.quantities import Torque, TorqueValue
from sparehand.procedures.record import Record, Text


class ShopWrench(Record):
    """A torque wrench of the shop. `length_mm` goes from its square to the middle of its grip."""

    name: Text
    range_low: Torque
    range_high: Torque
    calibration_due: date
    length_mm: float | None = Field(default=None, gt=0, le=3000)

    def covers(self, torque: TorqueValue) -> bool:
        """Whether its range holds the torque."""
        return self.range_low.newton_metres <= torque.newton_metres <= self.range_high.newton_metres

    def calibrated_on(self, day: date) -> bool:
        """Whether its calibration holds on that day."""
        return day <= self.calibration_due
