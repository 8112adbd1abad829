"""Torques keep the unit they were written in, and are rounded only inside a share of their tolerance."""

from __future__ import annotations

from typing import get_args

import pytest
from hypothesis import given, strategies as st

from sparehand.ground.errors import InputError
from sparehand.procedures.quantities import (
    DEFAULT_TOLERANCE_PERCENT,
    ROUNDING_SHARE,
    TorqueUnit,
    TorqueValue,
    computed_torque,
    read_torque,
    spoken_torque,
)
from sparehand.procedures.wording import number_shown
from sparehand.procedures.wrenches import wrench_setting

UNITS = st.sampled_from(get_args(TorqueUnit))
TORQUES = st.builds(TorqueValue, value=st.floats(min_value=0.5, max_value=800), unit=UNITS)


@pytest.mark.parametrize(
    ("written", "value", "unit"),
    [
        ("110 N·m", 110, "N·m"),
        ("110Nm", 110, "N·m"),
        ("81 lbf ft", 81, "lbf·ft"),
        ("90 lbf·in", 90, "lbf·in"),
        ("4.5 kgf·m", 4.5, "kgf·m"),
    ],
)
def test_a_torque_is_read_as_a_person_writes_it(written: str, value: float, unit: TorqueUnit) -> None:
    assert read_torque(written) == TorqueValue(value=value, unit=unit)


@pytest.mark.parametrize("written", ["110", "110 bar", "N·m", "", "1,5 N·m", "-3 N·m", "1e3 N·m"])
def test_what_is_no_torque_is_refused_with_what_was_expected(written: str) -> None:
    with pytest.raises(ValueError, match="a number and a unit"):
        read_torque(written)


@given(TORQUES, UNITS)
def test_a_conversion_there_and_back_changes_nothing(torque: TorqueValue, unit: TorqueUnit) -> None:
    assert torque.to(unit).to(torque.unit).value == pytest.approx(torque.value, rel=1e-12)


@given(TORQUES, UNITS, st.none() | st.floats(min_value=1, max_value=20))
def test_a_spoken_torque_stays_inside_its_share_of_the_tolerance(
    torque: TorqueValue, unit: TorqueUnit, tolerance_percent: float | None
) -> None:
    exact = torque.to(unit).value
    spoken = spoken_torque(torque, unit, tolerance_percent)
    allowed = exact * (tolerance_percent or DEFAULT_TOLERANCE_PERCENT) / 100 * ROUNDING_SHARE
    assert spoken.unit == unit
    assert abs(spoken.value - exact) <= allowed


@given(TORQUES)
def test_a_torque_in_its_own_unit_is_spoken_as_written(torque: TorqueValue) -> None:
    assert spoken_torque(torque, torque.unit, None) == torque


@given(
    st.builds(TorqueValue, value=st.floats(min_value=1, max_value=1_000), unit=st.just("N·m")),
    st.tuples(UNITS, UNITS),
    st.tuples(st.floats(min_value=100, max_value=1_500), st.floats(min_value=0, max_value=2_000)),
    st.none() | st.floats(min_value=1, max_value=30),
)
def test_a_wrench_setting_is_told_within_half_a_percent(
    joint: TorqueValue, units: tuple[TorqueUnit, TorqueUnit], lever: tuple[float, float], tolerance: float | None
) -> None:
    written, asked = units
    length, extension = lever
    told = computed_torque(wrench_setting(joint.to(written), length, extension), asked, tolerance)
    exact = joint.to(asked).value * length / (length + extension)
    assert abs(told.value - exact) <= 0.005 * exact + 1e-12
    assert float(number_shown(told.value)) == pytest.approx(told.value, rel=1e-9)


@pytest.mark.parametrize(("length", "extension"), [(0, 4), (-10, 4), (10, -10), (10, -12)])
def test_an_extension_that_leaves_no_lever_is_refused(length: float, extension: float) -> None:
    with pytest.raises(InputError, match="lever"):
        wrench_setting(TorqueValue(value=100, unit="N·m"), length, extension)
