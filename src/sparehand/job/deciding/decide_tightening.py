"""Tightening: confirming stages, readings off an instrument, beginning again."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.deciding import decide_departing, decide_drafting
from sparehand.job.deciding.decide_moving import answering, ask_for, mark_step_done, with_step_done
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import PiecesCounted, Question, QuestionAsked, TighteningConfirmed, TighteningMethod
from sparehand.job.fasteners import pieces_in
from sparehand.job.obligations import (
    PresentTightening,
    obligations,
    present_tightening,
    unknown_angle,
    unmet_condition,
    withheld,
)
from sparehand.job.state import JobState
from sparehand.job.vehicle.claims import Claim
from sparehand.job.vehicle.preconditions import contradiction
from sparehand.procedures.plan import FastenerKey
from sparehand.procedures.quantities import DEFAULT_TOLERANCE_PERCENT, TorqueValue

MOST_READ = 10_000
"""No torque wrench of a workshop reads as much, in any unit."""


def mark_done(state: JobState, command: c.MarkDone, context: Context) -> Decision:
    """Confirm the present tightening stage, or the step where nothing is to be tightened."""
    open_now = obligations(state)
    before_tightening = [duty for duty in open_now if duty.duty not in ("tightening", "gate")]
    if before_tightening:
        return ask_for(before_tightening[0])
    present = present_tightening(state)
    if present is None:
        return ask_for(open_now[0]) if open_now else _step_done(state, command.count)
    hindered = _hindered(state, present)
    if hindered:
        return hindered
    count = command.count or present.remaining
    if count > present.remaining:
        return refuse(f"Only {present.remaining} remain at this stage.", "mark done, and how many")
    method: TighteningMethod = "angle turned" if present.target.angle_degrees else "clicked at setting"
    used = state.progress
    done = TighteningConfirmed(
        fastener=present.key,
        stage=present.stage,
        count=count,
        method=method,
        wrench=used.wrench,
        extension_mm=used.extension_mm,
        counted=command.count is not None,
    )
    return answering(state, "confirmed", done, context)


def _step_done(state: JobState, count: int | None) -> Decision:
    """The step is done, or so many pieces of what it takes out or puts in."""
    if count is None or state.progress.at in state.progress.done:
        return mark_step_done(state)
    counting = _counting(state)
    if counting is None:
        return refuse("There is nothing to count at this step.", "mark done")
    key, remaining, last = counting
    if count > remaining:
        return refuse(f"Only {remaining} remain.", "mark done, and how many")
    counted = PiecesCounted(step=state.progress.at, fastener=key, count=count)
    if last and count == remaining:
        return with_step_done(state, counted)
    return tell("counted", counted, about=key.fastener)


def _counting(state: JobState) -> tuple[FastenerKey, int, bool] | None:
    """The first fastener of the step that is not all out or all in: how many remain, and whether it is the last."""
    step, procedure = state.step, state.plan.procedure
    ids = (*step.removes, *step.fits)
    for place, id in enumerate(ids):
        key, fastener = FastenerKey(id, state.side), procedure.fastener(id)
        there = pieces_in(fastener, state.progress.fastenings.get(key))
        remaining = there if id in step.removes else fastener.quantity - there
        if remaining:
            return key, remaining, place == len(ids) - 1
    return None


def reading(state: JobState, command: c.Reading, _context: Context) -> Decision:
    """A value read off an instrument: it is read back and counts only when confirmed."""
    if state.progress.naming is not None:
        return decide_drafting.value_heard(state, command, state.progress.naming)
    value = float(command.digits)
    blocking = [duty for duty in obligations(state) if duty.duty in ("warning", "mark to make")]
    if blocking:
        return ask_for(blocking[0])
    measure = state.step.measure
    if measure and (measure.id, state.side) not in state.progress.measurements:
        question = Question(kind="measurement", about=measure.id, side=state.side, value=value, unit=measure.unit)
        return tell("question", QuestionAsked(question=question))
    present = present_tightening(state)
    if present is None:
        return _readable_otherwise(state, value) or refuse("There is nothing to read at this step.", "next")
    return _hindered(state, present) or _no_reading(state, present, value) or _asking_back(state, present, value)


def _no_reading(state: JobState, present: PresentTightening, value: float) -> Decision | None:
    """Why a number cannot be a torque of the present stage, if it cannot."""
    if present.target.torque is None:
        return refuse("This stage is an angle, not a torque.", "mark done")
    if state.progress.extension_mm is not None:
        return refuse(
            "Through an extension the wrench does not read the joint's torque.", "mark done, or extension is off"
        )
    return None if 0 < value < MOST_READ else refuse("That is no torque reading.", "torque reading, and the digits")


def _asking_back(state: JobState, present: PresentTightening, value: float) -> Decision:
    torque = TorqueValue(value=value, unit=state.progress.unit)
    question = Question(kind="reading", about=str(present.key), side=state.side, torque=torque)
    return tell("question", QuestionAsked(question=question))


def within_limits(present: PresentTightening, achieved: TorqueValue) -> bool:
    """Whether a reading lies within the tolerance of the stage, or within the default where none is stated."""
    target = present.target
    if target.torque is None:
        return False
    share = (target.tolerance_percent or DEFAULT_TOLERANCE_PERCENT) / 100
    return abs(achieved.newton_metres - target.torque.newton_metres) <= target.torque.newton_metres * share + 1e-9


def start_tightening(state: JobState, _command: c.StartTightening, _context: Context) -> Decision:
    """Begin the present fastener again at its first stage, after a yes."""
    key = _restartable(state)
    if key is None:
        return refuse("There is nothing to tighten at this step.", "what is loose")
    question = Question(kind="restart tightening", about=str(key), side=key.side)
    return tell("question", QuestionAsked(question=question))


def _readable_otherwise(state: JobState, value: float) -> Decision | None:
    return decide_departing.reading_otherwise(state, value) if 0 < value < MOST_READ else None


def _restartable(state: JobState) -> FastenerKey | None:
    present = present_tightening(state)
    if present:
        return present.key
    return FastenerKey(state.step.tightens[0], state.side) if state.step.tightens else None


def _hindered(state: JobState, present: PresentTightening) -> Decision | None:
    """Why the present stage cannot be confirmed now, if it cannot."""
    key = present.key
    against = contradiction(state, Claim("fastener tightened", key.fastener, key.side, stage=present.stage))
    if against:
        return refuse(against.words, against.say)
    if present.angle_unknown:
        return refuse(unknown_angle(present), "start tightening again")
    unanswered_for = withheld(state, present.fastener)
    if unanswered_for:
        return refuse(unanswered_for, "cannot tighten")
    waits = unmet_condition(state, present.target)
    if waits:
        return refuse(f"{present.fastener.name} waits for {waits.name}.", "skip this step, and come back")
    return None
