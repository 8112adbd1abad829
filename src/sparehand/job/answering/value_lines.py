"""A torque, an angle or a size in a line."""

from __future__ import annotations

from sparehand.job.answer import Line, quantity, together
from sparehand.procedures import wording
from sparehand.procedures.labels import named, thread_state_label, tool_of
from sparehand.procedures.model import Fastener, Stage
from sparehand.procedures.quantities import TorqueUnit, spoken_torque


def torque_line(stage: Stage, unit: TorqueUnit) -> Line:
    """A stage's value: a torque in `unit`, told to be converted where it is, or an angle."""
    if stage.torque is None:
        return quantity(stage.angle_degrees or 0.0, "°").framed("turn ")
    value = spoken_torque(stage.torque, unit, stage.tolerance_percent)
    return quantity(value.value, value.unit).framed("" if unit == stage.torque.unit else "converted, ")


def torques_line(fastener: Fastener, unit: TorqueUnit) -> Line:
    """Every stage of a fastener in `unit`, with what belongs on its thread."""
    stages = together((torque_line(stage, unit) for stage in fastener.tightening), ", then ")
    return stages.framed(after=thread_state(fastener))


def thread_state(fastener: Fastener) -> str:
    """What belongs on the thread, as the end of a line: a torque holds for the friction that it was given for."""
    label = thread_state_label(fastener)
    return f", {label}" if label else ""


def size_line(fastener: Fastener) -> Line:
    """What turns a fastener, and what holds its other side."""
    if fastener.drive_mm is None:
        words = fastener.drive or "no size given"
        return Line(f"{named(fastener)}: {wording.label_spoken(words)}.", f"{named(fastener)}: {words}.")
    drive = quantity(fastener.drive_mm, "mm").framed(f"{named(fastener)}: {tool_of(fastener)} ")
    hold = fastener.counter_hold
    holding = (quantity(hold.size_mm, "mm").framed(f"hold {hold.holds}: "),) if hold else ()
    thread = ", left hand thread" if fastener.left_hand else ""
    alone = quantity(fastener.drive_mm, "mm").spoken
    other = f", hold {quantity(hold.size_mm, 'mm').spoken}" if hold else ""
    return together((drive, *holding), ", ").framed(after=f"{thread}.").shortened(f"{alone}{other}{thread}.")
