"""Unit conversions against NIST SP 811:2008, Appendix B."""

from __future__ import annotations

import pytest

from sparehand.procedures.quantities import TorqueUnit, TorqueValue


@pytest.mark.parametrize(
    ("unit", "newton_metres", "digits"),
    [
        ("lbf·ft", 1.355818, 6),  # NIST SP 811:2008, Appendix B.8, pound-force foot
        ("lbf·in", 0.1129848, 7),  # NIST SP 811:2008, Appendix B.8, pound-force inch
        ("kgf·m", 9.80665, 5),  # NIST SP 811:2008, Appendix B.8, kilogram-force metre (exact)
    ],
)
def test_one_of_a_unit_in_newton_metres(unit: TorqueUnit, newton_metres: float, digits: int) -> None:
    assert round(TorqueValue(value=1, unit=unit).newton_metres, digits) == newton_metres


def test_the_pound_force_foot_follows_from_its_exact_definitions() -> None:
    # NIST SP 811:2008: 1 lb = 0.45359237 kg, standard gravity 9.80665 m/s², 1 ft = 0.3048 m, all exact.
    exact = 0.45359237 * 9.80665 * 0.3048
    assert TorqueValue(value=1, unit="lbf·ft").newton_metres == pytest.approx(exact, rel=1e-14)
    assert exact == pytest.approx(1.3558179483314004, rel=1e-15)


def test_twelve_pound_force_inches_are_one_pound_force_foot() -> None:
    # By the definition of the foot: 12 in.
    assert TorqueValue(value=12, unit="lbf·in").to("lbf·ft").value == pytest.approx(1, rel=1e-14)
