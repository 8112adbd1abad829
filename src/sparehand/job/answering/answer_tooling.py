"""Answers about the torque wrench in hand, an extension on it, and a second person's look."""

from __future__ import annotations

from sparehand.ground.clock import Moment
from sparehand.job.answer import Line, plain, quantity
from sparehand.job.deciding.decide_tooling import setting
from sparehand.job.events import Question
from sparehand.job.obligations import present_tightening, withheld
from sparehand.job.state import JobState
from sparehand.procedures.quantities import TorqueValue, computed_torque


def wrench(state: JobState, now: Moment) -> tuple[Line, ...]:
    """The wrench in hand: an overdue calibration first, then its range, then what it cannot do here."""
    used = state.progress.wrench
    if used is None:
        return (plain("No wrench was named."),)
    due = f"{used.calibration_due:%d %B %Y}".lstrip("0")
    calibrated = used.calibrated_on(now.wall.date())
    overdue = () if calibrated else (plain(f"Its calibration ran out on {due}."),)
    until = f" Calibrated until {due}." if calibrated else ""
    return (
        *overdue,
        _range(used.range_low, used.range_high).framed(f"Wrench {used.name}, ", f".{until}"),
        *fits(state),
    )


def fits(state: JobState) -> tuple[Line, ...]:
    """What is to be said of the wrench at this stage: a torque out of its range, a setting through an extension."""
    used, present = state.progress.wrench, present_tightening(state)
    if used is None or present is None or present.target.torque is None or withheld(state, present.fastener):
        return ()
    set_to = setting(state)
    asked = set_to or present.target.torque
    outside = (
        ()
        if used.covers(asked)
        else (_range(used.range_low, used.range_high).framed(f"Outside the range of wrench {used.name}, ", "."),)
    )
    said = (*outside, *((_setting(state, set_to, present.target.tolerance_percent),) if set_to else ()))
    return tuple(line.kept_whole() for line in said)


def extension(state: JobState) -> tuple[Line, ...]:
    """The extension is known, and what it makes of the present torque."""
    return (plain("Extension written down.").shortened(""), *fits(state))


def asks_extension(asked: Question) -> Line:
    """The length heard, read back."""
    return quantity(asked.value or 0.0, "mm").framed("I heard an extension in line of ", f" on wrench {asked.about}.")


def _setting(state: JobState, torque: TorqueValue, tolerance_percent: float | None) -> Line:
    value = computed_torque(torque, state.progress.unit, tolerance_percent)
    return quantity(value.value, value.unit).framed("Wrench setting for the extension, not the joint's torque: ", ".")


def _range(low: TorqueValue, high: TorqueValue) -> Line:
    least, most = quantity(low.value, low.unit), quantity(high.value, high.unit)
    return Line(f"{least.spoken} to {most.spoken}", f"{least.shown} to {most.shown}")
