"""What a job card says of the torque wrenches used: range, calibration, and what the standard lets them deviate."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.job.state import JobState
from sparehand.procedures import wording
from sparehand.procedures.shop_wrenches import ShopWrench
from sparehand.procedures.wrenches import tool_tolerance_percent
from sparehand.screens.card_rows import WrenchRow


def wrench_rows(state: JobState) -> Iterator[WrenchRow]:
    """Every wrench that a tightening of this job was made with, once."""
    used = (one.wrench for one in state.progress.tightenings if one.wrench is not None)
    for wrench in {one.name: one for one in used}.values():
        low, high = (wording.torque_shown(torque) for torque in (wrench.range_low, wrench.range_high))
        yield WrenchRow(wrench.name, f"{low} to {high}", _calibration(state, wrench), _tolerance(wrench))


def _calibration(state: JobState, wrench: ShopWrench) -> str:
    held = wrench.calibrated_on(state.opened_at.wall.date())
    return f"{'until' if held else 'ran out on'} {wrench.calibration_due:%Y-%m-%d}"


def _tolerance(wrench: ShopWrench) -> str:
    shares = sorted({tool_tolerance_percent(torque) for torque in (wrench.range_low, wrench.range_high)})
    return f"± {' or '.join(f'{share:g}' for share in shares)} % (ISO 6789, type II class A)"
