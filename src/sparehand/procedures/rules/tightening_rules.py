"""What a tightening asks of its bolt and its tools."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.procedures.bolts import assembly_torque_nm, weakest_class
from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.model import Fastener
from sparehand.procedures.quantities import TorqueValue
from sparehand.procedures.rules.walk import finding
from sparehand.procedures.threads import read_thread, widths_across_flats_mm
from sparehand.procedures.yaml_text import Keys

LEAST_SHARE = 0.25
"""A final torque below this share of what the bolt bears is questioned; the share is common practice, no source."""
ONE_TURN_DEGREES = 360.0
SAME_WIDTH_MM = 0.15
"""So far an inch size and the socket used for it may differ, as 19 mm and 3/4 inch."""


def torques_above_bolt(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A torque beyond VDI 2230's assembly torque for thread and class. A question, not a verdict."""
    for keys, fastener in _fasteners(loaded):
        thread = read_thread(fastener.thread or "")
        if thread is None or fastener.property_class is None:
            continue
        limit_nm = assembly_torque_nm(thread, fastener.property_class)
        for number, torque in _torques(fastener):
            if limit_nm is not None and torque.newton_metres > limit_nm:
                bolt = f"{fastener.thread} of class {fastener.property_class}"
                message = f"is {_written(torque)} right? {bolt} bears about {limit_nm:.0f} N·m"
                where = (*keys, "tightening", number, "torque")
                remedy = "look it up again; a mix-up of N·m with lbf·ft or lbf·in is the usual cause"
                yield finding(loaded, where, "torque-above-bolt", "warning", message, remedy)


def torques_below_bolt(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A final torque far below VDI 2230's for thread and class, for which the file gives no reason."""
    for keys, fastener in _fasteners(loaded):
        thread = read_thread(fastener.thread or "")
        if thread is None or fastener.low_torque is not None or not fastener.tightening:
            continue
        limit_nm = assembly_torque_nm(thread, fastener.property_class or weakest_class(thread))
        torque = fastener.tightening[-1].torque
        if limit_nm is not None and torque is not None and torque.newton_metres < LEAST_SHARE * limit_nm:
            bolt = (
                f"{fastener.thread} of class {fastener.property_class}" if fastener.property_class else fastener.thread
            )
            message = f"is {_written(torque)} right? {bolt} bears about {limit_nm:.0f} N·m"
            where = (*keys, "tightening", len(fastener.tightening) - 1, "torque")
            remedy = "look it up again, or say in `low_torque` why it is so low"
            yield finding(loaded, where, "torque-below-bolt", "warning", message, remedy)


def angles_above_a_turn(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """Angles that add up to more than one turn (common practice, no source)."""
    for keys, fastener in _fasteners(loaded):
        turned = 0.0
        for number, stage in enumerate(fastener.tightening):
            turned += stage.angle_degrees or 0.0
            if turned > ONE_TURN_DEGREES:
                message = f"is it right that '{fastener.id}' is turned by {turned:g}° in all, more than one turn?"
                where = (*keys, "tightening", number, "angle_degrees")
                remedy = "look it up again; each angle counts from where the stage before ended"
                yield finding(loaded, where, "angle-above-turn", "warning", message, remedy)
                break


def widths_not_of_thread(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A plain hexagon whose width no standard has for its thread."""
    for keys, fastener in _fasteners(loaded):
        thread = read_thread(fastener.thread or "")
        if thread is None or fastener.head != "plain hex" or fastener.drive_mm is None:
            continue
        widths = widths_across_flats_mm(thread)
        if widths and min(abs(width - fastener.drive_mm) for width in widths) > SAME_WIDTH_MM:
            usual = " or ".join(f"{width:.4g}" for width in widths)
            message = f"a plain hexagon of {fastener.thread} is {usual} mm wide, not {fastener.drive_mm:g} mm"
            remedy = "check the size, or say another `head`"
            yield finding(loaded, (*keys, "drive_mm"), "width-not-of-thread", "warning", message, remedy)


def torques_outside_wrench(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A torque that the wrench listed for it cannot be set to."""
    tools = {tool.id: tool for tool in loaded.procedure.tools}
    for keys, fastener in _fasteners(loaded):
        wrench = tools.get(fastener.wrench or "")
        if wrench is None:
            continue
        for number, torque in _torques(fastener):
            below = wrench.range_low is not None and torque.newton_metres < wrench.range_low.newton_metres
            above = wrench.range_high is not None and torque.newton_metres > wrench.range_high.newton_metres
            if below or above:
                message = f"{_written(torque)} is {'below' if below else 'above'} the range of '{wrench.id}'"
                where = (*keys, "tightening", number, "torque")
                yield finding(loaded, where, "torque-outside-wrench", "error", message, "name another `wrench`")


def angles_without_snug_torque(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """An angle that does not start from a torque: nobody could say from where to turn."""
    for keys, fastener in _fasteners(loaded):
        snug = False
        for number, stage in enumerate(fastener.tightening):
            snug = snug or stage.torque is not None
            if not snug:
                message = f"the angle of '{fastener.id}' has no torque before it"
                where = (*keys, "tightening", number, "angle_degrees")
                yield finding(
                    loaded,
                    where,
                    "angle-without-snug-torque",
                    "error",
                    message,
                    "put a stage with its snug torque first",
                )
                break


def angle_bolts_reuse_unsaid(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A bolt turned by an angle that is declared neither use-once nor reusable."""
    for keys, fastener in _fasteners(loaded):
        angles = [number for number, stage in enumerate(fastener.tightening) if stage.angle_degrees is not None]
        if angles and not (fastener.use_once or fastener.reusable):
            message = f"'{fastener.id}' is turned by an angle, but the file does not say whether it may be used again"
            where = (*keys, "tightening", angles[0], "angle_degrees")
            remedy = "add `use_once: true` or `reusable: true`"
            yield finding(loaded, where, "angle-bolt-reuse-unsaid", "error", message, remedy)


def rubber_tightened_hanging(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A bonded rubber joint whose last stage waits for no condition (common practice, no source)."""
    for keys, fastener in _fasteners(loaded):
        if fastener.bonded_rubber and fastener.tightening and fastener.tightening[-1].condition is None:
            message = f"'{fastener.id}' clamps bonded rubber, but gets its final torque whatever load the rubber bears"
            remedy = "give its last stage the `condition` in which the rubber rests, such as ride height"
            where = (*keys, "tightening", len(fastener.tightening) - 1)
            yield finding(loaded, where, "rubber-tightened-hanging", "warning", message, remedy)


def _fasteners(loaded: LoadedProcedure) -> Iterator[tuple[Keys, Fastener]]:
    for number, fastener in enumerate(loaded.procedure.fasteners):
        yield ("fasteners", number), fastener


def _torques(fastener: Fastener) -> Iterator[tuple[int, TorqueValue]]:
    for number, stage in enumerate(fastener.tightening):
        if stage.torque is not None:
            yield number, stage.torque


def _written(torque: TorqueValue) -> str:
    return f"{torque.value:g} {torque.unit}"
