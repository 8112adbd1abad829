"""Answers about what is asked for by name, and about the side, the phase and the tools."""

from __future__ import annotations

from collections.abc import Iterator

from sparehand.ground.clock import Moment
from sparehand.job.answer import Answer, Line, counted, duration, plain, quantity, together
from sparehand.job.answering.answer_here import ahead, phase_title
from sparehand.job.answering.loose_words import some
from sparehand.job.answering.value_lines import size_line, torques_line
from sparehand.job.ledger import milliseconds
from sparehand.job.obligations import withheld
from sparehand.job.state import JobState
from sparehand.procedures import wording
from sparehand.procedures.labels import named, plural_of
from sparehand.procedures.model import Fastener, Item, Step, Tool
from sparehand.procedures.plan import FastenerKey, PhaseKey, StepKey
from sparehand.procedures.quantities import TorqueUnit

_UNKNOWN = (plain("This procedure has nothing of that name."),)


def torque_of(state: JobState, id: str, unit: TorqueUnit | None) -> tuple[Line, ...]:
    """Every stage of a fastener in the unit asked for, with its order and what it waits for, unless it is withheld."""
    fastener = _fastener(state, id)
    if fastener is None:
        return _UNKNOWN
    unanswered_for = withheld(state, fastener)
    if unanswered_for:
        return (plain(unanswered_for),)
    if not fastener.tightening:
        return (plain(f"{named(fastener)}: no torque is given."),)
    last = fastener.tightening[-1]
    stages = torques_line(fastener, unit or state.progress.unit)
    order = f", {last.order}" if last.order else ""
    when = f", {state.plan.procedure.condition(last.condition).when}" if last.condition else ""
    line = stages.framed(f"{named(fastener)}: ", f"{order}{when}.")
    return (line.kept_whole().shortened(f"{stages.spoken}{when}."),)


def size_of(state: JobState, id: str) -> tuple[Line, ...]:
    """What turns a fastener, and what holds it."""
    fastener = _fastener(state, id)
    return (size_line(fastener),) if fastener else _UNKNOWN


def held_by(state: JobState, id: str) -> tuple[Line, ...]:
    """What holds the other side of a fastener."""
    fastener = _fastener(state, id)
    if fastener is None:
        return _UNKNOWN
    hold = fastener.counter_hold
    if hold is None:
        return (plain(f"{named(fastener)}: nothing has to be held."),)
    return (quantity(hold.size_mm, "mm").framed(f"Hold {hold.holds}: ", "."),)


def part(state: JobState, id: str) -> tuple[Line, ...]:
    """Number and quantity of a part; the number that was fitted where somebody wrote one down."""
    found: Item | None = next((one for one in state.plan.procedure.parts if one.id == id), None)
    if found is None:
        return _UNKNOWN
    sides = max(1, len(state.plan.sides)) if found.per_side else 1
    count = counted(found.quantity * sides, found.name, plural_of(found))
    number = state.progress.part_number(id, state.side) or found.number
    numbered_as = Line(f", {_spelled(number)}", f", {number}") if number else plain(", no number given")
    new = ", must be new" if found.use_once else ""
    line = together((count, numbered_as), "").framed(after=f"{new}.")
    return (line.shortened(f"{count.spoken}{numbered_as.spoken}."),)


def tightened_here(state: JobState) -> tuple[Line, ...]:
    """What was tightened in the present phase on this side, and what was read."""
    ids = dict.fromkeys(id for step in state.phase.phase.steps for id in step.tightens)
    lines = [line for id in ids for line in _tightened(state, id)]
    return tuple(lines) or (plain("Nothing is tightened here yet."),)


def left_on_side(state: JobState) -> tuple[Line, ...]:
    """The phases that are not done on this side, of the whole job where the present phase has no side."""
    side = state.side
    phases = [one for one in state.plan.phases if not state.phase_complete(one) and (one.key.side == side or not side)]
    steps = sum(key not in state.progress.done for phase in phases for key in phase.step_keys())
    where = f" on the {side}" if side else ""
    if not steps:
        return (plain(f"All is done{where}."),)
    head = counted(steps, "step").framed(after=f" to do{where}.")
    titles = ((one.phase.title if side else phase_title(state, one.key)) for one in phases)
    return (head, *(plain(f"{title}.").of_entries(1) for title in titles))


def after_that(state: JobState, place: str, last: Answer) -> tuple[StepKey | None, tuple[Line, ...]]:
    """The step after a place, else after the step that the answer before has named; with its key."""
    keys = _steps_at(state, place)
    if place and not keys:
        return None, (plain("That is not part of this job."),)
    before = keys[-1] if keys else last.step or state.plan.after(state.progress.at)
    key = state.plan.after(before) if before in state.plan.steps and before else None
    if before is None or key is None:
        return None, (plain("Nothing comes after that."),)
    return key, (ahead(state, "Then", before, key),)


def tools(state: JobState, place: str) -> tuple[Line, ...]:
    """The tools of the present step, or of a phase or step by name."""
    keys = _steps_at(state, place) if place else (state.progress.at,)
    ids = dict.fromkeys(id for key in keys for id in _tools_of(state, state.plan.step(key)))
    found = [tool for tool in state.plan.procedure.tools if tool.id in ids]
    return tuple(_tool(tool).of_entries(1) for tool in found) or (plain("No tool is listed for that."),)


def phase_time(state: JobState, place: str, now: Moment) -> tuple[Line, ...]:
    """The work seconds in a phase, on every side that it has been worked on."""
    wanted = place.partition(":")[0]
    spans = state.ledger.up_to(now).all_spans()
    keys = [one.key for one in state.plan.phases if one.key.phase == wanted] if place else [state.progress.at.at]
    if not keys:
        return (plain("That is not part of this job."),)
    return tuple(
        _worked(state, key, milliseconds([one for one in spans if one.label.phase == key], "work")) for key in keys
    )


def _worked(state: JobState, key: PhaseKey, work_ms: int) -> Line:
    time = duration(work_ms / 1000)
    return time.framed(f"{phase_title(state, key)}: ", ".").shortened(f"{time.spoken}.")


def _fastener(state: JobState, id: str) -> Fastener | None:
    return next((one for one in state.plan.procedure.fasteners if one.id == id), None)


def _tightened(state: JobState, id: str) -> Iterator[Line]:
    fastener, key = state.plan.procedure.fastener(id), FastenerKey(id, state.side)
    done = [one for one in state.progress.tightenings if one.fastener == key]
    fastening = state.progress.fastenings.get(key)
    if not done or fastening is None or not any(fastening.reached):
        return
    reached = next((count for count in reversed(fastening.reached) if count), 0)
    read = done[-1].achieved
    value = quantity(read.value, read.unit).framed(", read ") if read else plain(f", {done[-1].method}")
    yield together((some(fastener, reached), value), "").framed(after=".").of_entries(1)


def _steps_at(state: JobState, place: str) -> tuple[StepKey, ...]:
    """The steps of a phase or the one step of that name, on this side where it has sides."""
    phase, _, step = place.partition(":")
    keys = [key for key in state.plan.steps if key.at.phase == phase and step in ("", key.step)]
    here = [key for key in keys if key.at.side in (None, state.side)]
    side = keys[0].at.side if keys else None
    return tuple(here or (key for key in keys if key.at.side == side))


def _tools_of(state: JobState, step: Step) -> Iterator[str]:
    """The tools that a step names, and the torque wrench of what it tightens."""
    yield from step.tools
    yield from (wrench for id in step.tightens if (wrench := state.plan.procedure.fastener(id).wrench))


def _tool(tool: Tool) -> Line:
    size = tool.size or ""
    return (
        Line(f"{tool.name}, {wording.label_spoken(size)}.", f"{tool.name}, {size}.") if size else plain(f"{tool.name}.")
    )


def _spelled(number: str) -> str:
    """A part number sign by sign: "C V four one zero seven"; other signs are left out."""
    signs = (wording.digits_spoken(sign) if sign.isdigit() else sign.upper() for sign in number if sign.isalnum())
    return " ".join(signs)
