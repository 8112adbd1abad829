"""Sides, phases and gates: every phase is reachable, and what is counted per side is counted alike throughout."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.procedures.findings import CheckFinding
from sparehand.procedures.load import LoadedProcedure
from sparehand.procedures.phase_order import phases_of
from sparehand.procedures.rules.walk import all_steps, finding


def phases_never_used(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A phase that no operation names."""
    used = phases_of(loaded.procedure, (operation.id for operation in loaded.procedure.operations))
    for number, phase in enumerate(loaded.procedure.phases):
        if phase.id not in used:
            message = f"no operation uses the phase '{phase.id}'"
            keys = ("phases", number)
            yield finding(loaded, keys, "phase-never-used", "warning", message, "name it in an operation or remove it")


def planned_minutes_missing(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A phase without planned minutes: nothing can be quoted for it before it was done a few times."""
    for number, phase in enumerate(loaded.procedure.phases):
        if phase.planned_minutes is None:
            message = f"the phase '{phase.id}' has no planned minutes"
            keys = ("phases", number)
            yield finding(loaded, keys, "planned-minutes-missing", "warning", message, "add `planned_minutes`")


def sides_missing(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A phase that repeats for each side in a procedure without sides: it would never be done."""
    if loaded.procedure.sides:
        return
    for number, phase in enumerate(loaded.procedure.phases):
        if phase.sided:
            message = f"the phase '{phase.id}' repeats for each side, but the procedure has no sides"
            keys = ("phases", number, "sided")
            yield finding(loaded, keys, "sides-missing", "error", message, "add `sides` at the top, or drop `sided`")


def axle_out_of_place(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """An axle for sides that are not the left and the right of it."""
    sides = loaded.procedure.sides
    if loaded.procedure.axle and (not sides or {"front", "rear"} & set(sides)):
        message = f"`axle: {loaded.procedure.axle}` is for the sides left and right, which this procedure does not have"
        yield finding(loaded, ("axle",), "side-not-there", "error", message, "drop `axle`")


def sides_out_of_place(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """What is limited to a side that the procedure does not have, or a phase limited though it does not repeat."""
    for kind in ("phases", "follow_ups"):
        for number, one in enumerate(getattr(loaded.procedure, kind)):
            if strange := [side for side in one.if_sides if side not in loaded.procedure.sides]:
                message = f"'{one.id}' belongs to {strange[0]}, which is not among the sides"
                keys = (kind, number, "if_sides")
                yield finding(loaded, keys, "side-not-there", "error", message, "name one of `sides`")
    for number, phase in enumerate(loaded.procedure.phases):
        keys = ("phases", number, "only_sides")
        strange = [side for side in phase.only_sides if side not in loaded.procedure.sides]
        if strange:
            message = f"the phase '{phase.id}' is limited to {strange[0]}, which is not among the sides"
            yield finding(loaded, keys, "side-not-there", "error", message, "name one of `sides`")
        elif phase.only_sides and not phase.sided:
            message = f"the phase '{phase.id}' is limited to sides, but does not repeat for each side"
            yield finding(loaded, keys, "side-not-there", "error", message, "add `sided: true`, or drop `only_sides`")


def sided_and_not(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A fastener touched both in a phase of one side and in one of none: the two would be counted apart."""
    first: dict[str, bool] = {}
    for visit in all_steps(loaded):
        for keys, id in visit.names("slackens", "removes", "fits", "tightens"):
            if first.setdefault(id, visit.phase.sided) != visit.phase.sided:
                here, before = ("of one side", "of none") if visit.phase.sided else ("of no side", "of one")
                message = f"'{id}' is touched here in a phase {here}, but earlier in one {before}"
                remedy = "make both phases `sided`, or neither"
                yield finding(loaded, keys, "sided-and-not", "error", message, remedy)


def gates_out_of_place(loaded: LoadedProcedure) -> Iterator[CheckFinding]:
    """A gate that no step passes, or one passed side by side though it speaks for the whole vehicle."""
    passed = set()
    for visit in all_steps(loaded):
        gate = visit.step.passes_gate
        passed.add(gate)
        if gate is not None and visit.phase.sided:
            message = f"the gate '{gate}' would be passed after the first side already"
            keys = (*visit.keys, "passes_gate")
            yield finding(loaded, keys, "gate-per-side", "warning", message, "pass it in a phase that is not `sided`")
    for number, gate_entry in enumerate(loaded.procedure.gates):
        if gate_entry.id not in passed:
            message = f"no step passes the gate '{gate_entry.id}', so the vehicle could never move"
            keys = ("gates", number)
            yield finding(loaded, keys, "gate-never-asked", "error", message, "add `passes_gate` to a step")
