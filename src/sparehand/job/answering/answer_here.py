"""Answers about the present step: what to do, its torque, its sizes, its warnings."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from sparehand.job.answer import Line, plain, quantity, together
from sparehand.job.answering.answer_tooling import fits
from sparehand.job.obligations import (
    PresentTightening,
    obligations,
    present_tightening,
    unknown_angle,
    unmet_condition,
    withheld,
)
from sparehand.job.open_items import loose_sentence, on_side
from sparehand.job.state import JobState
from sparehand.procedures.model import Fastener, Stage
from sparehand.procedures.plan import PhaseKey, StepKey
from sparehand.procedures.quantities import TorqueUnit, spoken_torque


def arrival(state: JobState) -> tuple[Line, ...]:
    """The step as it is read on reaching it: its phase where that is new, then the step."""
    first_of_phase = state.phase.step_keys()[0] == state.progress.at
    phase = (plain(phase_name(state.progress.at, state)),) if first_of_phase else ()
    return (*phase, *step(state))


def step(state: JobState) -> tuple[Line, ...]:
    """The step. While a warning is open nothing but the warning is read: it stands before the step it guards."""
    unread = _unread_warning(state)
    if unread:
        return unread
    return (
        *(plain(f"Caution. {caution.text}") for caution in state.step.cautions),
        *_hanging_loose(state),
        plain(state.step.say),
        *_asked_at(state),
        *_present_torque(state),
    )


def present_step(state: JobState) -> tuple[Line, ...]:
    """What the step says alone; its warning instead, while that is not understood."""
    return _unread_warning(state) or (plain(state.step.say),)


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
    lines = tuple(_size_line(state.plan.procedure.fastener(id)) for id in ids)
    return lines or (plain("No fastener is turned in this step."),)


def warnings(state: JobState) -> tuple[Line, ...]:
    """Every warning and caution of the step."""
    alerts = [f"Warning. {warning.text}" for warning in state.step.warnings]
    alerts += [f"Caution. {caution.text}" for caution in state.step.cautions]
    return tuple(plain(alert) for alert in alerts) or (plain("This step has no warning."),)


def what_next(state: JobState) -> tuple[Line, ...]:
    """The step after this one."""
    following = state.plan.after(state.progress.at)
    if following is None and state.progress.grown is not None:
        return (plain("Say new step, new phase, or close the job."),)
    if following is None:
        return (plain("This is the last step."),)
    return (plain(f"After this: {state.plan.step(following).say}"),)


def after_confirming(state: JobState) -> tuple[Line, ...]:
    """What remains at the step once a stage is confirmed."""
    present = present_tightening(state)
    if present:
        return (_stage_line(state, present, state.progress.unit), *fits(state))
    return done(state)


def done(state: JobState) -> tuple[Line, ...]:
    """The step is done, or what is still open at it."""
    open_now = obligations(state)
    if open_now:
        return plain(open_now[0].asks), plain(f"Say {open_now[0].instead}.").shortened("")
    return (plain("Done."), *(line.shortened("") for line in what_next(state)))


def phase_name(key: StepKey, state: JobState) -> str:
    """The title of a step's phase, with its side."""
    return f"{phase_title(state, key.at)}."


def phase_title(state: JobState, key: PhaseKey) -> str:
    """The title of a phase, with its side; its id where it is not part of the job any more."""
    titles = {phase.id: phase.title for phase in state.plan.procedure.phases}
    title = titles.get(key.phase, key.phase)
    return f"{title}, {key.side}" if key.side else title


def torque_line(stage: Stage, unit: TorqueUnit) -> Line:
    """A stage's value: a torque in `unit`, told to be converted where it is, or an angle."""
    if stage.torque is None:
        return quantity(stage.angle_degrees or 0.0, "°").framed("turn ")
    value = spoken_torque(stage.torque, unit, stage.tolerance_percent)
    return quantity(value.value, value.unit).framed("" if unit == stage.torque.unit else "converted, ")


def _unread_warning(state: JobState) -> tuple[Line, ...]:
    open_now = obligations(state)
    if open_now and open_now[0].duty == "warning":
        return plain(open_now[0].asks), plain("Say warning understood.")
    return ()


def _stage_line(state: JobState, present: PresentTightening, unit: TorqueUnit) -> Line:
    if present.angle_unknown:
        return plain(unknown_angle(present))
    unanswered_for = withheld(state, present.fastener)
    if unanswered_for:
        return plain(unanswered_for)
    value = torque_line(present.target, unit)
    waits = unmet_condition(state, present.target)
    when = f", only at {waits}" if waits else ""
    order = f", {present.target.order}" if present.target.order else ""
    stages = len(present.fastener.tightening)
    stage = f", stage {present.stage + 1} of {stages}" if stages > 1 else ""
    name = _counted(present.fastener, present.remaining)
    return value.framed(f"{name}{stage}{order}{when}: ", ".").shortened(f"{value.spoken}{when}.")


def _later_line(state: JobState, fastener: Fastener, unit: TorqueUnit) -> Line:
    condition = fastener.tightening[0].condition
    when = f" at {state.plan.procedure.condition(condition).name}" if condition else " later"
    return _said_torques(state, fastener, unit, f"{fastener.name}, hand tight now, final{when}: ")


def _done_line(state: JobState, fastener: Fastener, unit: TorqueUnit) -> Line:
    return _said_torques(state, fastener, unit, f"{fastener.name}, confirmed: ")


def _said_torques(state: JobState, fastener: Fastener, unit: TorqueUnit, lead: str) -> Line:
    """All stages of a fastener after `lead`, unless they are withheld."""
    unanswered_for = withheld(state, fastener)
    return plain(unanswered_for) if unanswered_for else _all_stages(fastener, unit).framed(lead, ".")


def _all_stages(fastener: Fastener, unit: TorqueUnit) -> Line:
    return together((torque_line(stage, unit) for stage in fastener.tightening), ", then ")


def _size_line(fastener: Fastener) -> Line:
    if fastener.drive_mm is None:
        return plain(f"{fastener.name}: {fastener.drive or 'no size given'}.")
    drive = quantity(fastener.drive_mm, "mm").framed(f"{fastener.name}: ")
    hold = fastener.counter_hold
    holding = (quantity(hold.size_mm, "mm").framed(f"hold {hold.holds}: "),) if hold else ()
    thread = ", left hand thread" if fastener.left_hand else ""
    alone = quantity(fastener.drive_mm, "mm").spoken
    other = f", hold {quantity(hold.size_mm, 'mm').spoken}" if hold else ""
    return together((drive, *holding), ", ").framed(after=f"{thread}.").shortened(f"{alone}{other}{thread}.")


def _present_torque(state: JobState) -> tuple[Line, ...]:
    present = present_tightening(state)
    return (_stage_line(state, present, state.progress.unit), *fits(state)) if present else ()


def _asked_at(state: JobState) -> Iterator[Line]:
    """What the step will ask for, tightening apart."""
    for duty in obligations(state):
        if duty.duty not in ("warning", "tightening", "mark to make"):
            yield plain(duty.asks)


def _hanging_loose(state: JobState) -> Iterable[Line]:
    """Before the vehicle comes down: what still hangs loose, wheels on, stand clear."""
    steps = state.phase.phase.steps
    if steps[0] != state.step or not any(step_.establishes for step_ in steps):
        return ()
    loose = (plain(loose_sentence(entry)) for entry in state.loose)
    hanging = (plain(f"Still hanging or supported: {on_side(what, side)}.") for what, side in state.progress.hanging)
    return (plain("Before it comes down: wheels on, stand clear."), *loose, *hanging)


def _counted(fastener: Fastener, count: int) -> str:
    if fastener.quantity == 1:
        return fastener.name
    return f"{count} {fastener.plural or fastener.name}"
