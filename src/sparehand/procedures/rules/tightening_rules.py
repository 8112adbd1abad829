"""What a tightening asks of its bolt and its tools."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.procedures.bolts import assembly_torque_nm, read_thread, widths_across_flats_mm
from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.model import Fastener
from sparehand.procedures.quantities import TorqueValue
from sparehand.procedures.rules.walk import finding
from sparehand.procedures.yaml_text import Keys


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


def widths_not_of_thread(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A plain hexagon whose width is neither ISO 272's nor the older DIN one for its thread."""
    for keys, fastener in _fasteners(loaded):
        thread = read_thread(fastener.thread or "")
        if thread is None or fastener.head != "plain hex" or fastener.drive_mm is None:
            continue
        widths = widths_across_flats_mm(thread)
        if widths and fastener.drive_mm not in widths:
            usual = " or ".join(f"{width:g}" for width in widths)
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
