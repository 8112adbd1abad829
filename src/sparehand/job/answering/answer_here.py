"""Answers about the present step: what to do, its torque, its sizes, its warnings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from itertools import takewhile

from sparehand.job.answer import Line, counted, from_file, hint, numbered, plain, together
from sparehand.job.answering.answer_tooling import fits
from sparehand.job.answering.loose_words import loose_by_side, some
from sparehand.job.answering.value_lines import size_line, thread_state, torque_line, torques_line
from sparehand.job.obligations import (
    PresentTightening,
    obligations,
    present_tightening,
    unknown_angle,
    unmet_condition,
    withheld,
)
from sparehand.job.open_items import on_side
from sparehand.job.state import JobState
from sparehand.job.vehicle.drive import brings_down
from sparehand.job.work_order import following
from sparehand.procedures.labels import named
from sparehand.procedures.model import Fastener
from sparehand.procedures.plan import PhaseKey, StepKey
from sparehand.procedures.quantities import TorqueUnit


def arrival(state: JobState) -> tuple[Line, ...]:
    """The step as it is read on reaching it: its phase where that is new, then the step."""
    keys = state.phase.step_keys()
    if keys[0] != state.progress.at:
        return step(state)
    name = plain(phase_name(state.progress.at, state))
    repeats = _same_as_before(state)
    if repeats:
        return (repeats, Line("", name.shown), *step(state))
    return (replace(name, spoken="") if _done_on_another_side(state) else name.shortened(""), *step(state))


def _same_as_before(state: JobState) -> Line | None:
    """At the beginning of a side whose steps were all done on another: that they are the same, and how many."""
    phases = [planned.key for planned in state.plan.phases]
    here = phases.index(state.progress.at.at)
    side = state.side
    if side is None or not _done_on_another_side(state) or (here and phases[here - 1].side == side):
        return None
    stretch = list(takewhile(lambda planned: planned.key.side == side, state.plan.phases[here:]))
    steps = sum(len(planned.step_keys()) for planned in stretch)
    words = counted(steps, "step")
    return words.framed(f"{side.capitalize()} side, the same; ", ".")


def _done_on_another_side(state: JobState) -> bool:
    at = state.progress.at.at
    others = [one for one in state.plan.phases if one.key.phase == at.phase and one.key.side != at.side]
    return any(state.phase_complete(other) for other in others)


def step(state: JobState) -> tuple[Line, ...]:
    """The step. While a warning is open nothing but the warning is read: it stands before the step it guards."""
    unread = _unread_warning(state)
    if unread:
        return unread
    return (
        *(from_file(f"Caution. {caution.text}") for caution in state.step.cautions),
        *_hanging_loose(state),
        from_file(state.step.say),
        *_asked_at(state),
        *_present_torque(state),
    )


def present_step(state: JobState) -> tuple[Line, ...]:
    """What the step says alone; its warning instead, while that is not understood."""
    return _unread_warning(state) or (from_file(state.step.say),)


def torque(state: JobState, unit: TorqueUnit | None) -> tuple[Line, ...]:
    """The torque of the present stage, or of what the step puts in by hand, in the unit asked for."""
    in_unit = unit or state.progress.unit
    present = present_tightening(state)
    if present:
        return (_stage_line(state, present, in_unit), *fits(state))
    waiting = [state.plan.procedure.fastener(id) for id in state.step.fits]
    lines = tuple(_later_line(state, fastener, in_unit) for fastener in waiting if fastener.tightening)
    confirmed = [state.plan.procedure.fastener(id) for id in state.step.tightens]
    done = tuple(_done_line(state, fastener, in_unit) for fastener in confirmed if fastener.tightening)
    return lines or done or (plain("This step has no torque."),)


def sizes(state: JobState) -> tuple[Line, ...]:
    """Drive and counter-hold sizes of the step's fasteners."""
    step_ = state.step
    ids = dict.fromkeys((*step_.slackens, *step_.removes, *step_.fits, *step_.tightens))
    lines = tuple(size_line(state.plan.procedure.fastener(id)).of_entries(1) for id in ids)
    return lines or (plain("No fastener is turned in this step."),)


def warnings(state: JobState) -> tuple[Line, ...]:
    """Every warning and caution of the step."""
    alerts = [f"Warning. {warning.text}" for warning in state.step.warnings]
    alerts += [f"Caution. {caution.text}" for caution in state.step.cautions]
    return tuple(from_file(alert) for alert in alerts) or (plain("This step has no warning."),)


def explained(state: JobState, what: str) -> tuple[Line, ...]:
    """What the file says of the step beside what to do: why, where, or what to compare."""
    text = getattr(state.step, what)
    return (from_file(text),) if text else (plain(f"The file does not say {_UNSAID[what]}."),)


_UNSAID = {"why": "why this is done", "where": "where it is", "compare": "what to compare"}


def what_next(state: JobState) -> tuple[Line, ...]:
    """The step after this one."""
    after = following(state)
    if after is None and state.progress.grown is not None:
        return (plain("Say new step, new phase, or close the job."),)
    if after is None:
        return (plain("This is the last step."),)
    return (ahead(state, "After this", state.progress.at, after),)


def ahead(state: JobState, lead: str, before: StepKey, key: StepKey) -> Line:
    """A step before it is reached, with its side where that is not the side of the step before it."""
    side = key.at.side if before.at.side and key.at.side != before.at.side else None
    return from_file(f"{lead}{f', {side}' if side else ''}: {state.plan.step(key).say}")


def after_confirming(state: JobState) -> tuple[Line, ...]:
    """What remains at the step once a stage is confirmed; of the next stage not what was said of the one before."""
    present = present_tightening(state)
    if present is None:
        return done(state)
    line = _stage_line(state, present, state.progress.unit)
    before = state.progress.tightenings[-1] if state.progress.tightenings else None
    goes_on = before and (before.fastener, before.stage) == (present.key, present.stage - 1)
    if goes_on and present.remaining == present.fastener.quantity:
        order = present.fastener.tightening[present.stage - 1].order
        said = f"{some(present.fastener, present.remaining).spoken}, {order}"
        line = replace(line, spoken=_without(said, present, line.spoken))
    return (line, *fits(state))


def done(state: JobState) -> tuple[Line, ...]:
    """The step is done, or what is still open at it."""
    open_now = obligations(state)
    if open_now:
        return from_file(open_now[0].asks), hint(f"Say {open_now[0].instead}.")
    if state.progress.at not in state.progress.done:
        return (hint("Say next once the step is done."),)
    return (plain("Done."), *(line.shortened("") for line in what_next(state)))


def phase_name(key: StepKey, state: JobState) -> str:
    """The title of a step's phase, with its side."""
    return f"{phase_title(state, key.at)}."


def phase_title(state: JobState, key: PhaseKey) -> str:
    """The title of a phase, with its side; its id where it is not part of the job any more."""
    titles = {phase.id: phase.title for phase in state.plan.procedure.phases}
    title = titles.get(key.phase, key.phase)
    return f"{title}, {key.side}" if key.side else title


def _unread_warning(state: JobState) -> tuple[Line, ...]:
    open_now = obligations(state)
    if open_now and open_now[0].duty == "warning":
        waits = state.progress.hold or state.progress.question
        return from_file(open_now[0].asks), *(() if waits else (hint("Say warning understood."),))
    return ()


def _stage_line(state: JobState, present: PresentTightening, unit: TorqueUnit) -> Line:
    if present.angle_unknown:
        return from_file(unknown_angle(present))
    unanswered_for = withheld(state, present.fastener)
    if unanswered_for:
        return from_file(unanswered_for)
    value = torque_line(present.target, unit).framed(after="" if present.stage else thread_state(present.fastener))
    waits = unmet_condition(state, present.target)
    when = f", only {waits.when}" if waits else ""
    order = f", {present.target.order}" if present.target.order else ""
    stages = len(present.fastener.tightening)
    stage = numbered(", stage {now} of {all}", now=present.stage + 1, all=stages) if stages > 1 else plain("")
    lead = together((some(present.fastener, present.remaining), stage), "").framed(after=f"{order}{when}: ")
    return together((lead, value), "").framed(after=".").kept_whole().shortened(f"{value.spoken}{when}.")


def _later_line(state: JobState, fastener: Fastener, unit: TorqueUnit) -> Line:
    """What is put in by hand now, with the torque that it gets later."""
    condition = fastener.tightening[0].condition
    when = f" {state.plan.procedure.condition(condition).when}" if condition else " later"
    return _said_torques(state, fastener, unit, f"{named(fastener)}, hand tight now, final{when}: ")


def _done_line(state: JobState, fastener: Fastener, unit: TorqueUnit) -> Line:
    return _said_torques(state, fastener, unit, f"{named(fastener)}, confirmed: ")


def _said_torques(state: JobState, fastener: Fastener, unit: TorqueUnit, lead: str) -> Line:
    """All stages of a fastener after `lead`, unless they are withheld."""
    unanswered_for = withheld(state, fastener)
    return plain(unanswered_for) if unanswered_for else torques_line(fastener, unit).framed(lead, ".")


def _present_torque(state: JobState) -> tuple[Line, ...]:
    present = present_tightening(state)
    if present is None:
        return ()
    line = _stage_line(state, present, state.progress.unit)
    return (replace(line, spoken=_without(state.step.say, present, line.spoken)), *fits(state))


def _without(sentence: str, present: PresentTightening, spoken: str) -> str:
    """The torque without the fastener and the order, where the sentence before it has just named them."""
    fastener, order = present.fastener, present.target.order
    name = some(fastener, present.remaining).spoken.removeprefix("the ")
    known = sentence.lower()
    if name.lower() not in known or not spoken.lower().removeprefix("the ").startswith(name.lower()):
        return spoken
    if order and order.lower() in known:
        spoken = spoken.replace(f", {order}", "", 1)
    rest = spoken[spoken.lower().index(name.lower()) + len(name) :].lstrip(",: ")
    return rest[:1].upper() + rest[1:]


def _asked_at(state: JobState) -> Iterator[Line]:
    """What the step will ask for, tightening apart."""
    for duty in obligations(state):
        if duty.duty not in ("warning", "tightening", "mark to make"):
            yield from_file(duty.asks)


def _hanging_loose(state: JobState) -> Iterable[Line]:
    """Before the vehicle comes down: what still hangs loose, wheels on, stand clear."""
    if not brings_down(state):
        return ()
    hanging = (plain(f"Still hanging or supported: {on_side(what, side)}.") for what, side in state.progress.hanging)
    lines = (plain("Before it comes down: wheels on, stand clear."), *loose_by_side(state), *hanging)
    return tuple(line.kept_whole() for line in lines)
