"""Wrench settings with an extension, and the tolerance of hand torque tools."""

from __future__ import annotations

import pytest

from sparehand.procedures.quantities import TorqueValue
from sparehand.procedures.wrenches import tool_tolerance_percent, wrench_setting


@pytest.mark.parametrize(
    ("torque", "length", "extension", "setting"),
    [
        (300, 10, 4, 214),  # US Army TM 1-1500-204-23-9: 300 lbf·in, wrench 10 in, adapter 4 in
        (100, 12, 6, 66.7),  # US Navy manual: 100, wrench 12 in, adapter 6 in
        (135, 10, 1.5, 117.39),  # published worked example, adapter pointing outward
        (135, 10, -1.5, 158.82),  # the same, adapter pointing back
    ],
)
def test_an_extension_in_line_changes_the_setting(
    torque: float, length: float, extension: float, setting: float
) -> None:
    result = wrench_setting(TorqueValue(value=torque, unit="lbf·in"), length, extension)
    assert result.unit == "lbf·in"
    assert float(f"{result.value:.{len(f'{setting:g}'.replace('.', ''))}g}") == setting


def test_at_a_right_angle_there_is_nothing_to_correct() -> None:
    # US Army TM 1-1500-204-23-9 gives the correction for adapters in line only; at 90° the lever stays as it is.
    torque = TorqueValue(value=300, unit="lbf·in")
    assert wrench_setting(torque, 10, 4, "right angle") == torque


@pytest.mark.parametrize(
    ("torque_nm", "percent"),
    # ISO 6789, type II class A, as a tool's manual cites it: ±6 % up to 10 N·m, ±4 % above.
    [(4, 6), (10, 6), (10.1, 4), (200, 4)],
)
def test_tolerance_of_a_setting_wrench(torque_nm: float, percent: float) -> None:
    assert tool_tolerance_percent(TorqueValue(value=torque_nm, unit="N·m")) == percent
