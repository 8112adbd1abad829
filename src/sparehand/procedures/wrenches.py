"""What a torque wrench does to a value: its own tolerance, and what an extension changes."""

from __future__ import annotations

from typing import Literal

from sparehand.ground.errors import InputError
from sparehand.procedures.quantities import TorqueValue

ExtensionDirection = Literal["in line", "right angle"]


def tool_tolerance_percent(torque: TorqueValue) -> float:
    """The permitted deviation, in percent, of a hand torque tool of ISO 6789 type II class A at this torque."""
    return 4.0 if torque.newton_metres > 10 else 6.0


def wrench_setting(
    torque: TorqueValue, length: float, extension: float, direction: ExtensionDirection = "in line"
) -> TorqueValue:
    """What to set on a wrench of `length` so that the joint gets `torque` through an `extension`: Tw = T·L/(L + E).

    Both lengths in one unit, the wrench's from its square to the middle of its grip; an extension that points back
    is negative. At a right angle nothing changes. The result is a setting, never the joint's torque.
    Source: US Army TM 1-1500-204-23-9. Raises InputError for lengths that leave no lever.
    """
    if length <= 0:
        raise InputError(f"a wrench {length:g} long has no lever; measure from its square to the middle of its grip")
    if direction == "right angle":
        return torque
    if length + extension <= 0:
        raise InputError(f"an extension of {extension:g} on a wrench {length:g} long leaves no lever; measure again")
    return TorqueValue(value=torque.value * length / (length + extension), unit=torque.unit)
