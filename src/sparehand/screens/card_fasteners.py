"""What a job card says of parts and fasteners: what was renewed, and what each tightening achieved how."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.job import events as e
from sparehand.job.fasteners import LooseFastener, is_final
from sparehand.job.state import JobState
from sparehand.job.vehicle.listed_parts import PartState, answer_for, listed_parts
from sparehand.procedures import wording
from sparehand.procedures.labels import named, thread_label, thread_state_label
from sparehand.procedures.model import Fastener, Side, Stage
from sparehand.procedures.plan import FastenerKey, StepKey
from sparehand.screens.card_rows import PartRow, StageRow, TighteningRow

_ANSWERS: dict[PartState, str] = {
    "renewed": "renewed",
    "not renewed": "stays the old one, said by name",
    "not answered": "nobody answered for it",
}
"""What the card says of a part that no step renews."""


def with_side(name: str, side: Side | None) -> str:
    """A name with its side, where it has one."""
    return f"{name}, {side}" if side else name


def part_rows(state: JobState) -> Iterator[PartRow]:
    """Every part that the run renews or lists and every use-once fastener that it fits, once a side."""
    procedure = state.plan.procedure
    parts = {part.id: part for part in procedure.parts}
    for (id, side), step in _renewals(state).items():
        part = parts.get(id)
        thing = part or procedure.fastener(id)
        yield PartRow(
            name=with_side(named(thing), side),
            number=state.progress.part_number(id, side) or (part.number if part else None) or "",
            quantity=thing.quantity,
            use_once=thing.use_once,
            outcome=f"{_renewal(state, id, side, step)}{_old_part(state, id, side)}",
        )
    renewed_by_steps = {id for id, _ in _renewals(state)}
    for item, side in listed_parts(state):
        if item.id in renewed_by_steps:
            continue
        yield PartRow(
            name=with_side(named(item), side),
            number=state.progress.part_number(item.id, side) or item.number or "",
            quantity=item.quantity,
            use_once=item.use_once,
            outcome=_ANSWERS[answer_for(state, item, side)],
        )


def tightening_rows(state: JobState) -> Iterator[TighteningRow]:
    """Every fastener that the run tightens and every other that was touched, in the order of the work."""
    tools = {tool.id: tool.name for tool in state.plan.procedure.tools}
    planned = [FastenerKey(id, key.at.side) for key in state.plan.steps for id in state.plan.step(key).tightens]
    for key in dict.fromkeys((*planned, *state.progress.fastenings)):
        fastener = state.plan.procedure.fastener(key.fastener)
        count = f"{fastener.quantity} " if fastener.quantity > 1 else ""
        yield TighteningRow(
            name=with_side(f"{count}{named(fastener)}", key.side),
            thread="; ".join(filter(None, (thread_label(fastener), thread_state_label(fastener)))),
            wrench=tools.get(fastener.wrench or "", ""),
            stages=tuple(_stage(state, key, fastener, number) for number in range(len(fastener.tightening))),
            status=_status(state, key, fastener),
        )


def _renewals(state: JobState) -> dict[tuple[str, Side | None], StepKey]:
    """What has to be new, with the first step that puts it in."""
    wanted: dict[tuple[str, Side | None], StepKey] = {}
    for key in state.plan.steps:
        step = state.plan.step(key)
        fasteners = [id for id in (*step.fits, *step.tightens) if state.plan.procedure.fastener(id).use_once]
        for id in (*step.renews, *fasteners):
            wanted.setdefault((id, key.at.side), key)
    return wanted


def _renewal(state: JobState, id: str, side: Side | None, step: StepKey) -> str:
    if (id, side) in state.progress.renewed:
        return "renewed"
    return "not said to be new" if step in state.progress.done else "not fitted"


def _old_part(state: JobState, id: str, side: Side | None) -> str:
    return ", old part kept" if {(id, side), (id, None)} & state.progress.old_kept else ""


def _stage(state: JobState, key: FastenerKey, fastener: Fastener, number: int) -> StageRow:
    outside = (one for one in state.progress.out_of_limits if one.fastener == key and one.stage == number)
    return StageRow(
        target=_target(state, key, fastener.tightening[number]),
        achieved=(
            *(_achieved(one) for one in _counting(state, key, number)),
            *(f"{wording.torque_shown(one.achieved)} read: out of limits, does not count" for one in outside),
        ),
    )


def _counting(state: JobState, key: FastenerKey, number: int) -> list[e.TighteningConfirmed]:
    """The confirmations that still count: the latest ones, for a fastener taken out or restarted begins at none."""
    fastening = state.progress.fastenings.get(key)
    reached = fastening.reached[number] if fastening else 0
    said = [one for one in state.progress.tightenings if one.fastener == key and one.stage == number]
    counting: list[e.TighteningConfirmed] = []
    while said and sum(one.count for one in counting) < reached:
        counting.insert(0, said.pop())
    return counting


def _achieved(confirmed: e.TighteningConfirmed) -> str:
    value = f" {wording.torque_shown(confirmed.achieved)}" if confirmed.achieved else ""
    wrench = f", wrench {confirmed.wrench.name}" if confirmed.wrench else ""
    through = (
        f", extension {wording.quantity_shown(confirmed.extension_mm, 'mm')} in line" if confirmed.extension_mm else ""
    )
    said = {True: ", counted", False: ", said for all", None: ""}[confirmed.counted]
    return f"{confirmed.count} × {confirmed.method}{value}{wrench}{through}{said}"


def _target(state: JobState, key: FastenerKey, stage: Stage) -> str:
    fastening = state.progress.fastenings.get(key)
    if fastening and fastening.departed:
        return "withheld, the procedure was left"
    if not state.plan.procedure.released:
        return "withheld, the procedure is not released"
    if stage.torque is None:
        value = wording.quantity_shown(stage.angle_degrees or 0, "°")
    else:
        value = wording.torque_shown(stage.torque)
    tolerance = (
        f" ±\N{NO-BREAK SPACE}{wording.number_shown(stage.tolerance_percent)}\N{NO-BREAK SPACE}%"
        if stage.tolerance_percent
        else ""
    )
    condition = state.plan.procedure.condition(stage.condition).when if stage.condition else None
    return ", ".join(filter(None, (f"{value}{tolerance}", stage.order, condition)))


def _status(state: JobState, key: FastenerKey, fastener: Fastener) -> str:
    fastening = state.progress.fastenings.get(key)
    if fastening is None:
        return "not touched"
    if fastening.settled:
        return "tight by other data"
    if is_final(fastener, fastening):
        checked = next((one.by for one in reversed(state.progress.checked) if one.fastener == key), None)
        return f"final, checked by {checked}" if checked else "final"
    left = ", procedure left" if fastening.departed else ""
    return f"not final: {LooseFastener(key, fastener, fastening).state}{left}"
